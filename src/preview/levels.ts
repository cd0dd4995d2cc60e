import { closeSync, mkdirSync, openSync, readSync, writeSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { removeTemporary, temporaryBeside } from '../encode/temporary.js';
import { breather } from '../master/breath.js';
import type { Rgb } from '../master/decode/types.js';
import { openMasterRows } from '../master/open.js';
import type { Samples } from '../master/pixels.js';
import { wrapped } from '../math.js';
import { type AtlasLayout, layOut, levelSize, type Size } from '../render/atlas.js';
import { createPyramid } from '../render/pyramid.js';

/** A master's levels of detail in a file of their own, so that any part can be handed out at once. */
export interface LevelFile {
  readonly layout: AtlasLayout;
  /**
   * Rows of RGB. Left and right of the level it goes on round the sphere, above and below past the pole,
   * as render/pages.ts fills its gutters.
   */
  read(level: number, x: number, y: number, width: number, height: number): Uint8Array;
  close(): void;
}

export interface LevelOptions {
  readonly background: Rgb;
  /** Texels across that are enough, for a quick first one. */
  readonly maxWidth?: number;
  readonly signal: AbortSignal;
  /** 0 to 1. */
  readonly onProgress?: (share: number) => void;
}

/** Rows that are worked on between looks at the signal, and at what else the server has to do. */
const BREATH_BYTES = 2 ** 21;

/** Page sides that are tried in turn, and how many pages one draw can have. */
const PAGE_SIDES = [4096, 6144, 8192, 12288, 16384];
const MOST_PAGES = 14;

/** Small pages, so that a close-up needs little of a large master. */
export function layOutForPage({ width, height }: Size): AtlasLayout {
  for (const side of PAGE_SIDES) {
    const layout = layOut(width, height, side, MOST_PAGES);
    if (layout !== undefined) return layout;
  }
  return layOutForPage({ width: Math.floor(width / 2), height: Math.floor(height / 2) });
}

/**
 * @returns undefined where `maxWidth` is asked for and the file offers no quick way to it
 * @throws InputError, WorkError; Interrupted when `signal` fires
 */
export async function makeLevels(
  file: string,
  options: LevelOptions,
): Promise<LevelFile | undefined> {
  const { background, maxWidth, signal, onProgress } = options;
  const master = await openMasterRows(file, {
    background,
    ...(maxWidth === undefined ? {} : { maxWidth, stripBytes: 2 ** 26 }),
  });
  if (maxWidth !== undefined && master.width > 2 * maxWidth) return undefined;
  const layout = layOutForPage(master);
  const store = openStore(layout);
  const breathe = breather(signal);
  try {
    const pyramid = createPyramid(master.depth, master, store.sizes, store.put);
    const samples = master.width * 3;
    const step = Math.max(1, Math.floor(BREATH_BYTES / samples)) * samples;
    let done = 0;
    for await (const rows of master.strips) {
      for (let at = 0; at < rows.length; at += step) {
        await breathe();
        const part = rows.subarray(at, at + step);
        pyramid.add(part);
        done += part.length;
        onProgress?.(done / (samples * master.height));
      }
    }
    return { layout, read: store.read, close: store.close };
  } catch (error) {
    store.close();
    throw error;
  }
}

function openStore(layout: AtlasLayout) {
  const sizes = Array.from({ length: layout.levels }, (_, level) => levelSize(layout, level));
  const starts: number[] = [];
  let end = 0;
  for (const { width, height } of sizes) {
    starts.push(end);
    end += width * height * 3;
  }
  const folder = temporaryBeside(join(tmpdir(), 'orbreel-levels'), '');
  mkdirSync(folder, { mode: 0o700 });
  const file = openSync(join(folder, 'levels'), 'w+', 0o600);
  let isOpen = true;
  return {
    sizes,
    put(level: number, row: number, codes: Samples): void {
      const { width } = sizes[level]!;
      const bytes = codes instanceof Uint8Array ? codes : Uint8Array.from(codes, (c) => c >> 8);
      writeSync(file, bytes, 0, width * 3, starts[level]! + row * width * 3);
    },
    read(level: number, x: number, y: number, width: number, height: number): Uint8Array {
      const out = new Uint8Array(width * height * 3);
      for (let row = 0; row < height; row++) {
        const into = out.subarray(row * width * 3, (row + 1) * width * 3);
        readRow(file, starts[level]!, sizes[level]!, x, y + row, into);
      }
      return out;
    },
    close(): void {
      if (!isOpen) return;
      isOpen = false;
      closeSync(file);
      void removeTemporary(folder);
    },
  };
}

function readRow(file: number, start: number, size: Size, x: number, y: number, into: Uint8Array) {
  const beyond = y < 0 || y >= size.height;
  const mirrored = y < 0 ? -1 - y : y >= size.height ? 2 * size.height - 1 - y : y;
  const row = Math.min(size.height - 1, Math.max(0, mirrored));
  const turned = x + (beyond ? size.width >> 1 : 0);
  let column = wrapped(turned, size.width);
  for (let filled = 0; filled < into.length; ) {
    const bytes = Math.min(into.length - filled, (size.width - column) * 3);
    readSync(file, into, filled, bytes, start + (row * size.width + column) * 3);
    filled += bytes;
    column = 0;
  }
}
