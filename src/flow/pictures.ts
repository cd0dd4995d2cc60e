import { bytesPerFrame, type PixelFormat } from '../encode/types.js';
import { exposures } from './exposures.js';
import { type Delivery, expectGoing, type Job } from './jobs.js';
import { stretchesOf } from './stretches.js';
import { inStudio } from './studio.js';

/** One drawn frame of one delivery. */
export interface Picture {
  readonly delivery: Delivery;
  /** The frame's number in the whole clip. */
  readonly frame: number;
  /** In the asked-for layout; good until the next picture is drawn. */
  readonly pixels: Uint8Array;
}

export interface PicturesWanted {
  /** Numbers of frames of the whole clip, ascending. */
  readonly frames: readonly number[];
  readonly format: Extract<PixelFormat, 'rgba' | 'rgba64le'>;
  /** The program that reads masters which only it can read. */
  readonly ffmpeg?: string | undefined;
}

/** Draws single frames of every delivery, stretch by stretch, and hands over each as it is done. */
export async function drawPictures(
  job: Job,
  { frames, format, ffmpeg }: PicturesWanted,
  onPicture: (picture: Picture) => Promise<void> | void,
): Promise<void> {
  const stretches = stretchesOf(job.scene, frames);
  const deep = format === 'rgba64le';
  const reading = { keepDepth: deep, ...(ffmpeg === undefined ? {} : { ffmpeg }) };
  await inStudio(job, stretches, reading, async (studio) => {
    for (const stretch of stretches) {
      const stage = await studio.prepare(stretch);
      for (const delivery of job.deliveries) {
        const { width, height } = delivery.output;
        const renderer = stage.rendererFor(delivery.output, deep);
        const pixels = new Uint8Array(bytesPerFrame(format, width, height));
        let index = 0;
        for (const exposure of exposures(job, delivery.output, stretch)) {
          expectGoing(job);
          renderer.mix(exposure);
          renderer.read(format, pixels);
          await onPicture({ delivery, frame: stretch.frames[index++]!, pixels });
        }
        renderer.destroy();
      }
    }
  });
}
