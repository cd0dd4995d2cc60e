import sharp from 'sharp';
import { stillProblems, writeStill } from './encode/still.js';
import { expectNone, type Job } from './flow/jobs.js';
import { drawPictures } from './flow/pictures.js';
import { shotTimes } from './timeline/shots.js';

/** Pixels between two pictures of a strip. */
const GAP = 4;

export interface StripsJob extends Omit<Job, 'deliveries'> {
  /** One for each shot of the scene; the extension chooses the format. */
  readonly files: readonly string[];
  /** Pictures in each strip, the shot's first and last frame among them; at least 2. */
  readonly frames: number;
  readonly onProgress?: (done: number, total: number) => void;
}

/**
 * Draws a strip of pictures of every shot, in the scene's first output.
 *
 * @throws InputError, WorkError; Interrupted when `signal` fires. Nothing half-written stays behind.
 */
export async function renderStrips(job: StripsJob): Promise<void> {
  const { scene, files, overwrite } = job;
  const output = scene.outputs[0]!;
  const wide = job.frames * (output.width + GAP) - GAP;
  const size = { width: wide, height: output.height };
  await expectNone(files.map((file) => stillProblems({ ...size, file, overwrite })));

  const wanted = framesOfShots(job);
  const frames = [...new Set(wanted.flat())].sort((a, b) => a - b);
  const strips = wanted.map(() => new Map<number, Buffer>());
  let done = 0;
  const deliveries = [{ output, file: files[0]! }];
  await drawPictures({ ...job, deliveries }, { frames, format: 'rgba' }, ({ frame, pixels }) => {
    for (const [shot, list] of wanted.entries()) {
      if (list.includes(frame)) strips[shot]!.set(frame, Buffer.from(pixels));
    }
    job.onProgress?.(++done, frames.length);
  });

  for (const [shot, file] of files.entries()) {
    const { width, height } = output;
    const pieces = wanted[shot]!.map((frame, index) => ({
      input: strips[shot]!.get(frame)!,
      raw: { width, height, channels: 4 as const },
      ...{ left: index * (width + GAP), top: 0 },
    }));
    const paper = { ...size, channels: 4 as const, background: '#0000' };
    const rgba = await sharp({ create: paper }).composite(pieces).raw().toBuffer();
    await writeStill({ file, rgba, ...size, overwrite, alpha: true });
  }
}

/** Numbers of frames, of each shot in turn. */
function framesOfShots({ scene, frames }: StripsJob): number[][] {
  const { shots, transitions, fps } = scene;
  return shotTimes(shots, transitions).map(({ start, end }) => {
    const first = Math.ceil(start * fps - 1e-6);
    const last = Math.ceil(end * fps - 1e-6) - 1;
    return Array.from({ length: frames }, (_, index) =>
      Math.round(first + (index * (last - first)) / (frames - 1)),
    );
  });
}
