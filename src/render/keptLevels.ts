import { createHash } from 'node:crypto';
import { type EntryReader, readEntry, writeEntry } from '../cache/entry.js';
import { readBytes } from '../encode/reading.js';
import { expectGoing, Interrupted } from '../errors.js';
import { openFile } from '../master/openFile.js';
import type { Depth } from '../master/pixels.js';
import type { Size } from './atlas.js';
import type { GlContext } from './context.js';
import { beginUpload, type MasterTexture, type MasterUpload, sizesFor } from './masterTexture.js';
import type { RowSink } from './pyramid.js';

/** Masters up to this size, in texels, are read from their file nearly as soon. */
const SMALL = 8192 * 4096;
/** Bytes that are looked at of a file, at so many places, from its start to its end. */
const LOOK = { bytes: 2 ** 16, places: 4 } as const;

/** Where a master's levels are kept, or to be. */
export interface Keeping {
  readonly folder: string;
  readonly key: string;
}

/** What the pixels that are read of a file follow from, besides the file. */
export interface KeptReading {
  readonly size: Size;
  readonly keepDepth?: boolean;
  readonly background?: readonly number[];
}

/**
 * The entry of a file's levels: by its size, when it was written, and bytes from several places of it, since reading
 * all of a large one takes longer than its levels; and by how it is read.
 *
 * @param beyond texels; none for masters of no more
 * @returns undefined, too, where there is no folder to keep it in
 */
export async function keepingOf(
  folder: string | undefined,
  file: string,
  { size, keepDepth = false, background = [0, 0, 0] }: KeptReading,
  beyond = SMALL,
): Promise<Keeping | undefined> {
  if (folder === undefined || size.width * size.height <= beyond) return undefined;
  const handle = await openFile(file);
  try {
    const facts = await handle.stat({ bigint: true });
    const hash = createHash('sha256');
    hash.update(JSON.stringify([size.width, size.height, keepDepth, background]));
    hash.update(`${facts.size} ${facts.mtimeNs}`);
    const last = Math.max(0, Number(facts.size) - LOOK.bytes);
    for (let place = 0; place < LOOK.places; place++) {
      const at = Math.floor((last * place) / (LOOK.places - 1));
      hash.update(await readBytes(handle, at, LOOK.bytes));
    }
    return { folder, key: hash.digest('hex').slice(0, 32) };
  } finally {
    await handle.close();
  }
}

/** What an entry says of itself. A device that lays masters out otherwise has no use for it. */
interface About {
  readonly depth: Depth;
  readonly sizes: readonly Size[];
}

/** In front of each row: its level and its number, 32 bits each. */
const HEAD_BYTES = 8;

export interface KeptLevels {
  readonly depth: Depth;
  /**
   * Puts them on the GPU; undefined where they do not fit this device, or are damaged.
   * @throws Interrupted when `signal` fires
   */
  upload(
    context: GlContext,
    signal: AbortSignal | undefined,
    onTexture: (texture: MasterTexture) => void,
  ): Promise<MasterTexture | undefined>;
}

export async function findLevels(
  { folder, key }: Keeping,
  size: Size,
): Promise<KeptLevels | undefined> {
  const entry = await readEntry(folder, key);
  if (entry === undefined) return undefined;
  const { depth, sizes } = entry.about as About;
  return {
    depth,
    async upload(context, signal, onTexture) {
      let upload: MasterUpload | undefined;
      try {
        if (JSON.stringify(sizesFor(context, size, depth)) !== JSON.stringify(sizes)) {
          return undefined;
        }
        upload = beginUpload(context, size, depth);
        onTexture(upload.texture);
        await putAll(entry, sizes, depth, upload.put, signal);
        return upload.finish();
      } catch (error) {
        upload?.abort();
        if (error instanceof Interrupted) throw error;
        return undefined;
      } finally {
        await entry.close();
      }
    },
  };
}

/** @throws Error when rows are missing, Interrupted */
async function putAll(
  { portions }: EntryReader,
  sizes: readonly Size[],
  depth: Depth,
  put: RowSink,
  signal: AbortSignal | undefined,
): Promise<void> {
  let left = sizes.reduce((sum, { height }) => sum + height, 0);
  for await (const portion of portions) {
    expectGoing(signal);
    for (let at = 0; at < portion.length; left--) {
      const [level, row] = [portion.readUInt32LE(at), portion.readUInt32LE(at + 4)];
      const samples = sizes[level]!.width * 3;
      const place = portion.byteOffset + at + HEAD_BYTES;
      const Kind = depth === 16 ? Uint16Array : Uint8Array;
      put(level, row, new Kind(portion.buffer as ArrayBuffer, place, samples));
      at += HEAD_BYTES + samples * (depth / 8);
    }
  }
  if (left !== 0) throw new Error('rows are missing');
}

/** Keeps levels as they are made. */
export interface LevelKeeper {
  readonly onRow: RowSink;
  keptUp(): Promise<void>;
  finish(): Promise<void>;
  abort(): Promise<void>;
}

/** @returns undefined where there is no room for them */
export async function keepLevels(
  { folder, key }: Keeping,
  context: GlContext,
  size: Size,
  depth: Depth,
): Promise<LevelKeeper | undefined> {
  const sizes = sizesFor(context, size, depth);
  const about: About = { depth, sizes };
  const bytes = sizes.reduce(
    (sum, { width, height }) => sum + height * (HEAD_BYTES + (width * 3 * depth) / 8),
    0,
  );
  const writer = await writeEntry(folder, key, about, bytes);
  if (writer === undefined) return undefined;
  const head = Buffer.alloc(HEAD_BYTES);
  return {
    ...writer,
    onRow(level, row, codes) {
      head.writeUInt32LE(level, 0);
      head.writeUInt32LE(row, 4);
      writer.add(head, new Uint8Array(codes.buffer, codes.byteOffset, codes.byteLength));
    },
  };
}
