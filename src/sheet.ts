import sharp from 'sharp';
import { seriesOf } from './chart/series.js';
import type { ChartSample } from './chart/types.js';
import { stillProblems, writeStill } from './encode/still.js';
import { expectNone, type Job } from './flow/jobs.js';
import { drawPictures } from './flow/pictures.js';
import { readyHouseFont } from './lettering/house.js';
import { countOf, fpsText, shortNumber } from './scene/words.js';
import { type Caption, lettersSvg } from './sheet/letters.js';
import { framesOf, planSheet } from './sheet/plan.js';
import { frameCount } from './timeline/frames.js';

interface Raw {
  readonly width: number;
  readonly height: number;
  readonly channels: 4;
}

export interface SheetJob extends Omit<Job, 'deliveries'> {
  /** Indices of the scene's outputs to show side by side, at least one. */
  readonly outputs: readonly number[];
  /** Frames to show, the first and the last among them. */
  readonly frames: number;
  /** Frames side by side; chosen by itself when left out. */
  readonly columns?: number;
  /** Its extension chooses the format. */
  readonly file: string;
  readonly ffmpeg?: string;
  readonly onProgress?: (done: number, total: number) => void;
}

/**
 * Draws a contact sheet: frames of the clip, evenly spread, with what the camera does under each.
 *
 * @throws InputError, WorkError; Interrupted when `signal` fires. Nothing half-written stays behind.
 */
export async function renderSheet(job: SheetJob): Promise<void> {
  const { scene, file, overwrite } = job;
  const outputs = job.outputs.map((index) => scene.outputs[index]!);
  const frames = framesOf(scene.duration, scene.fps, job.frames);
  const plan = planSheet(outputs, frames.length, job.columns);
  const { width, height } = plan;
  await expectNone([stillProblems({ file, width, height, overwrite })]);

  const deliveries = outputs.map((output, index) => ({
    output: { ...output, ...plan.pictures[index]! },
    file,
  }));
  const pieces: { input: Buffer; raw: Raw; left: number; top: number }[] = [];
  const total = frames.length * outputs.length;
  const wanted = { frames, format: 'rgba' as const, ffmpeg: job.ffmpeg };
  await drawPictures({ ...job, deliveries }, wanted, ({ delivery, frame, pixels }) => {
    const index = deliveries.indexOf(delivery);
    const { x, y } = plan.cells[index]![frames.indexOf(frame)]!;
    const raw = { ...plan.pictures[index]!, channels: 4 as const };
    pieces.push({ input: Buffer.from(pixels), raw, left: x, top: y });
    job.onProgress?.(pieces.length, total);
  });

  await readyHouseFont();
  const letters = lettersSvg(plan, {
    title: scene.name,
    facts: `${shortNumber(scene.duration)} s, ${countOf(frameCount(scene.duration, scene.fps), 'frame')} at ${fpsText(scene.fps)}`,
    shapes: outputs.map(({ shape }) => shape),
    captions: outputs.map((output) => seriesOf(scene, output, frames).map(captionOf)),
  });
  const rgba = await sharp(Buffer.from(letters)).ensureAlpha().composite(pieces).raw().toBuffer();
  await writeStill({ file, rgba, width, height, overwrite });
}

const captionOf = ({ at, projection, fov }: ChartSample): Caption => ({
  time: `${shortNumber(at)} s`,
  view: `${projection}, ${Math.round(fov)}°`,
});
