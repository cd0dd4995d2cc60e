import sharp from 'sharp';
import { breather } from '../master/breath.js';
import type { Rgb } from '../master/decode/types.js';
import { openMasterRows } from '../master/open.js';
import { createPyramid } from '../render/pyramid.js';
import { type CutTile, createCutter } from './cut.js';
import { levelOf, type Tile, type TilesLayout } from './layout.js';

export interface TilesJob {
  readonly master: string;
  readonly layout: TilesLayout;
  /** What shows through transparent parts. */
  readonly background: Rgb;
  readonly ffmpeg?: string | undefined;
  readonly signal: AbortSignal;
  /** 0 to 1. */
  readonly onProgress?: (share: number) => void;
}

/** WebP's quality: high enough that skies keep no blocks when they are looked at enlarged. */
const QUALITY = 84;
/** Tiles that may wait to be packed before more rows are read. */
const MOST_WAITING = 24;
/** Bytes of the master's rows between looks at the signal. */
const BREATH_BYTES = 2 ** 22;

/**
 * Reads the master once and hands out all its tiles as WebP pictures without any metadata, in no order.
 *
 * @throws InputError, WorkError; Interrupted when `signal` fires
 */
export async function makeTiles(
  job: TilesJob,
  sink: (tile: Tile, webp: Buffer) => Promise<void>,
): Promise<void> {
  const { layout } = job;
  const breathe = breather(job.signal);
  const master = await openMasterRows(job.master, {
    background: job.background,
    maxWidth: levelOf(layout, 0).width,
    stripBytes: 2 ** 26,
    ...(job.ffmpeg === undefined ? {} : { ffmpeg: job.ffmpeg }),
  });
  const waiting: CutTile[] = [];
  const pack = async () => {
    const tiles = waiting.splice(0);
    await Promise.all(tiles.map(async (tile) => sink(tile, await webpOf(tile))));
  };
  const cut = createCutter(layout, (tile) => waiting.push(tile));
  const sizes = Array.from({ length: layout.levels }, (_, level) => levelOf(layout, level));
  const pyramid = createPyramid(master.depth, master, sizes, cut);
  const samples = master.width * 3;
  const step = Math.max(1, Math.floor(BREATH_BYTES / samples)) * samples;
  let done = 0;
  for await (const rows of master.strips) {
    for (let at = 0; at < rows.length; at += step) {
      const part = rows.subarray(at, at + step);
      pyramid.add(part);
      if (waiting.length >= MOST_WAITING) await pack();
      await breathe();
      done += part.length;
      job.onProgress?.(done / (samples * master.height));
    }
  }
  await pack();
}

const webpOf = ({ width, height, data }: CutTile): Promise<Buffer> =>
  sharp(data, { raw: { width, height, channels: 3 } })
    .webp({ quality: QUALITY, smartSubsample: true })
    .toBuffer();
