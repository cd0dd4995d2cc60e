import { bytesPerFrame, type PixelFormat } from '../encode/types.js';
import { expectGoing } from '../errors.js';
import type { FrameRenderer } from '../render/frame.js';
import { frameTime } from '../timeline/frames.js';
import { exposures, seenOfShots } from './exposures.js';
import { readVideos } from './footage.js';
import type { Delivery, Job } from './jobs.js';
import { openAllOverlays } from './overlays.js';
import { stretchesOf } from './stretches.js';
import { inStudio, type Session, type Studio } from './studio.js';

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
  /** Where to draw when more is to be drawn later, of these masters seen otherwise; else a studio of its own. */
  readonly studio?: Studio | undefined;
}

/** Draws single frames of every delivery, stretch by stretch, and hands over each as it is done. */
export async function drawPictures(
  job: Job,
  { frames, format, ffmpeg, studio }: PicturesWanted,
  onPicture: (picture: Picture) => Promise<void> | void,
): Promise<void> {
  const overlays = await openAllOverlays(job.scene);
  const stretches = stretchesOf(job.scene, frames);
  const deep = format === 'rgba64le';
  const reading = {
    keepDepth: deep,
    videos: await readVideos(job.scene, ffmpeg),
    ...(studio === undefined ? { seen: seenOfShots(job, stretches) } : { whole: true }),
    ...(ffmpeg === undefined ? {} : { ffmpeg }),
  };
  const draw = async (session: Session) => {
    for (const stretch of stretches) {
      const warm = new Map<Delivery, FrameRenderer>();
      const stage = await session.prepare(stretch, (early) => {
        for (const delivery of job.deliveries) {
          const renderer = early.rendererFor(delivery.output, deep);
          const [first] = exposures(job, delivery.output, stretch);
          renderer.warm(first!);
          warm.set(delivery, renderer);
        }
      });
      for (const delivery of job.deliveries) {
        const { width, height } = delivery.output;
        const renderer = warm.get(delivery) ?? stage.rendererFor(delivery.output, deep);
        const pixels = new Uint8Array(bytesPerFrame(format, width, height));
        const painter = await overlays.painterFor(delivery.output, format);
        let index = 0;
        for await (const exposure of stage.shown(
          exposures(job, delivery.output, stretch),
          delivery.output,
        )) {
          expectGoing(job.signal);
          renderer.mix(exposure);
          renderer.read(format, pixels);
          const frame = stretch.frames[index++]!;
          painter.paint(pixels, frameTime(frame, job.scene.fps));
          await onPicture({ delivery, frame, pixels });
        }
        renderer.destroy();
      }
    }
  };
  if (studio === undefined) await inStudio(job, stretches, reading, draw);
  else await draw(studio.begin(job, stretches, reading));
}
