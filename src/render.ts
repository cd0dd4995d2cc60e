import { opaqueStillNote } from './encode/opaque.js';
import { stillProblems, writeStill } from './encode/still.js';
import type { ClipWriter } from './encode/types.js';
import { expectGoing } from './errors.js';
import { isDeep, openAll, writeFrames } from './flow/clips.js';
import { exposures, framesBetween } from './flow/exposures.js';
import { FlashWatch } from './flow/flashWatch.js';
import { readVideos } from './flow/footage.js';
import { withGuides } from './flow/guides.js';
import { type ClipJob, expectNone, isTransparent, type StillJob } from './flow/jobs.js';
import { openAllOverlays, type Painter } from './flow/overlays.js';
import { drawPictures } from './flow/pictures.js';
import { soundOf } from './flow/sound.js';
import { sphereMark } from './flow/sphereMark.js';
import { stretchesOf } from './flow/stretches.js';
import { inStudio, type Studio } from './flow/studio.js';
import { frameAt, frameTime } from './timeline/frames.js';

export type { ClipJob, ClipProgress, Delivery, StillJob } from './flow/jobs.js';
export { openStudio, type Studio } from './flow/studio.js';

/**
 * Renders each delivery as a clip, all from one decode and upload of each master.
 *
 * @throws InputError, WorkError; Interrupted when `signal` fires. Nothing half-written stays behind.
 */
export async function renderClips(job: ClipJob): Promise<void> {
  const { scene, deliveries } = job;
  const frames = framesBetween(scene, job.from ?? 0, job.to ?? scene.duration);
  const stretches = stretchesOf(scene, frames);
  const total = frames.length * deliveries.length;
  let done = 0;
  const videos = await readVideos(scene, job.ffmpeg.path);
  const overlays = await openAllOverlays(scene);
  const sound = await soundOf(job, videos, frames);
  // All are opened before the work starts, so that a name that will not do is found at once.
  const clips = await openAll(job, frames.length, sound);
  const keepDepth = clips.some(({ clip }) => isDeep(clip.pixelFormat));
  const watch = new FlashWatch(scene.fps);
  try {
    const painters = new Map<ClipWriter, Painter>();
    for (const { clip, delivery } of clips) {
      painters.set(clip, await overlays.painterFor(delivery.output, clip.pixelFormat));
    }
    const reading = { keepDepth, videos, ffmpeg: job.ffmpeg.path };
    await inStudio(job, stretches, reading, async (session) => {
      for (const stretch of stretches) {
        const stage = await session.prepare(stretch);
        for (const { delivery, clip } of clips) {
          const { output } = delivery;
          const renderer = stage.rendererFor(output, isDeep(clip.pixelFormat));
          const painter = painters.get(clip)!;
          const cameras = stage.shown(exposures(job, output, stretch), output);
          await writeFrames(clip, output, renderer, stretch.frames, cameras, (pixels, frame) => {
            expectGoing(job.signal);
            painter.paint(pixels, frameTime(frame, scene.fps));
            watch.add(delivery, clip.pixelFormat, pixels);
            job.onProgress?.({ delivery, done: ++done, total });
          });
          renderer.destroy();
          if (stretch === stretches.at(-1)) await clip.finish();
        }
      }
    });
    watch.tell(job.onFlashing);
  } finally {
    await Promise.all(clips.map(({ clip }) => clip.abort()));
  }
}

/**
 * Renders each delivery's frame at one instant: what the clip shows then, or guides over it. In a
 * studio of its own, only what is in sight of a large master is read (`src/render/portion.ts`), which rounds some
 * lookups the other way: by one code, one sample in a thousand.
 *
 * @param studio where to draw, if more stills are to follow: masters stay loaded in it, whole
 */
export async function renderStills(job: StillJob, studio?: Studio): Promise<void> {
  const { scene, deliveries, overwrite, depth = 8, ffmpeg } = job;
  const problems = deliveries.map(({ file, output, ours = overwrite }) =>
    stillProblems({ ...output, file, overwrite: ours, depth }),
  );
  await expectNone(problems);
  const wanted = {
    frames: [frameAt(job.at, scene.fps)],
    format: depth === 16 ? ('rgba64le' as const) : ('rgba' as const),
    ...{ ffmpeg, studio },
  };
  await drawPictures(job, wanted, async ({ delivery, pixels: rgba }) => {
    const { file, output, ours = overwrite } = delivery;
    const { width, height } = output;
    const alpha = isTransparent(scene, output);
    const opaque = alpha ? opaqueStillNote(file) : undefined;
    if (opaque !== undefined) job.onNote?.(opaque);
    const shown = job.guides ? await withGuides(rgba, scene, output, job.at) : rgba;
    const mark = sphereMark(scene, output, job.at);
    await writeStill({
      ...{ file, rgba: shown, width, height, overwrite: ours, depth, alpha },
      ...mark,
    });
  });
}
