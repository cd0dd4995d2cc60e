import { createFlashMeter, type Flashing } from './comfort/flashes.js';
import { luminanceGrid } from './comfort/luminance.js';
import { framesBetween } from './flow/exposures.js';
import type { Job } from './flow/jobs.js';
import { drawPictures } from './flow/pictures.js';
import type { SequenceOutput } from './scene/types.js';

export interface FlashJob extends Omit<Job, 'deliveries' | 'quality' | 'overwrite'> {
  readonly output: SequenceOutput;
  readonly ffmpeg?: string;
  readonly onProgress?: (done: number, total: number) => void;
}

/** Pixels along a frame's longer side: four for each of the cells that are measured. */
const LONGER_SIDE = 480;

/**
 * Draws a small draft of the whole clip and measures its flashes by WCAG 2's general flash and red flash thresholds.
 *
 * @throws WorkError; Interrupted when `signal` fires
 */
export async function measureFlashes(job: FlashJob): Promise<readonly Flashing[]> {
  const { scene } = job;
  const output = { ...job.output, ...smaller(job.output) };
  const { width, height } = output;
  const grid = luminanceGrid(width, height);
  const meter = createFlashMeter(grid, scene.fps);
  const frames = framesBetween(scene, 0, scene.duration);
  const drawn: Job = {
    ...job,
    quality: 'draft',
    overwrite: false,
    deliveries: [{ output, file: '' }],
  };
  const wanted = { frames, format: 'rgba' as const, ffmpeg: job.ffmpeg };
  let done = 0;
  await drawPictures(drawn, wanted, ({ pixels }) => {
    meter.add(grid.of(pixels, 'rgba'));
    job.onProgress?.(++done, frames.length);
  });
  return meter.found();
}

function smaller({ width, height }: SequenceOutput): { width: number; height: number } {
  const scale = Math.min(1, LONGER_SIDE / Math.max(width, height));
  const even = (side: number) => Math.max(2, 2 * Math.round((side * scale) / 2));
  return { width: even(width), height: even(height) };
}
