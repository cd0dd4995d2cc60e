import { rm } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { peakOfCommand, writeScene } from '../children.js';
import { atMost } from '../measure.js';
import type { Bench, Result } from '../types.js';

/** Widths of masters and the most memory, in GB (10^9 bytes), that a render from them may hold. */
const LIMITS = [
  { width: 18000, most: 2.2, large: false },
  { width: 32768, most: 6, large: true },
];

/** So close a view that the master is needed in full: one frame, decoded, uploaded, drawn, written. */
const CLOSE = { fov: 10, projection: 'rectilinear', outputs: ['square'] };

export async function* memory(bench: Bench): AsyncIterable<Result> {
  const { large, master, folder, say } = bench;
  for (const { width, most } of LIMITS.filter((limit) => large || !limit.large)) {
    const work = `peak memory, ${width}x${width / 2} (${Math.round((width * width) / 2e6)} MP)`;
    say(work);
    const scene = await writeScene(folder, await master(width), CLOSE);
    const peak = await peakOfCommand(
      [
        ...['render', scene, '--from', '0', '--to', String(1 / 30)],
        ...['--out', join(folder, 'frame-%05d.png'), '--overwrite', '--quiet'],
      ],
      folder,
    );
    yield limited(work, peak, most);
  }
  yield* deep(bench);
  yield* finish(bench);
}

/** The most memory, in GB, that a master of 162 megapixels may take to be kept in 16 bits, and to be made whole. */
const MOST_DEEP = 2.2;
const MOST_WHOLE = 3;

/** A 16-bit master drawn into 16-bit frames. */
async function* deep({ master, folder, say }: Bench): AsyncIterable<Result> {
  const work = 'peak memory, 18000x9000 kept in 16 bits';
  say(work);
  const file = join(folder, 'deep.tif');
  await sharp(await master(18000), { limitInputPixels: false })
    .toColourspace('rgb16')
    .tiff({ compression: 'deflate', predictor: 'horizontal' })
    .toFile(file);
  const scene = await writeScene(folder, file, CLOSE);
  const peak = await peakOfCommand(
    [
      ...['render', scene, '--from', '0', '--to', String(1 / 30), '--codec', 'tiff-16'],
      ...['--out', join(folder, 'frame-%05d.tif'), '--overwrite', '--quiet'],
    ],
    folder,
  );
  await rm(file);
  yield limited(work, peak, MOST_DEEP);
}

/** A master without its zenith, completed, levelled and marked. */
async function* finish({ master, folder, say }: Bench): AsyncIterable<Result> {
  const work = 'peak memory, `master finish` of 18000x7000';
  say(work);
  const file = join(folder, 'part.jpg');
  await sharp(await master(18000), { limitInputPixels: false })
    .extract({ left: 0, top: 2000, width: 18000, height: 7000 })
    .jpeg({ quality: 90 })
    .toFile(file);
  const out = join(folder, 'whole.jpg');
  const options = ['--bottom', '-90', '--out', out, '--overwrite', '--quiet'];
  const peak = await peakOfCommand(['master', 'finish', file, ...options], folder);
  await Promise.all([rm(file), rm(out)]);
  yield limited(work, peak, MOST_WHOLE);
}

function limited(work: string, peak: number, most: number): Result {
  const ours = peak / 1e9;
  const figures = { ours, theirs: most, ratio: ours / most };
  return { work, against: 'the limit', unit: 'GB', ...figures, target: atMost(1) };
}
