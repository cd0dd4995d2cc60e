import { resolveCamera } from './camera/resolve.js';
import type { Camera } from './camera/types.js';
import { clipProblems, keepsAlpha, openClip } from './encode/clip.js';
import type { Ffmpeg } from './encode/ffmpeg.js';
import { stillProblems, writeStill } from './encode/still.js';
import type { ClipWriter, Quality } from './encode/types.js';
import { InputError, Interrupted, type Problem } from './errors.js';
import { openMaster } from './master/open.js';
import { openContext } from './render/context.js';
import { createFrameRenderer, type FrameRenderer } from './render/frame.js';
import { uploadMaster } from './render/masterTexture.js';
import { SAMPLES } from './render/quality.js';
import type { Output, Scene } from './scene/types.js';
import { frameAt, frameCount, frameTime } from './timeline/frames.js';
import { buildTimeline } from './timeline/sample.js';

export interface Delivery {
  readonly output: Output;
  /** Where it goes; its extension chooses the format. */
  readonly file: string;
}

interface Job {
  readonly scene: Scene;
  readonly deliveries: readonly Delivery[];
  readonly quality: Quality;
  readonly overwrite: boolean;
  readonly signal?: AbortSignal;
}

export interface ClipJob extends Job {
  readonly ffmpeg: Ffmpeg;
  /** First and last instant to render, in seconds; the whole scene without them. */
  readonly from?: number;
  readonly to?: number;
  readonly onProgress?: (progress: ClipProgress) => void;
}

export interface ClipProgress {
  readonly delivery: Delivery;
  /** Frames done and to do, all deliveries together. */
  readonly done: number;
  readonly total: number;
}

export interface StillJob extends Job {
  /** Seconds. */
  readonly at: number;
}

/**
 * Renders each delivery as a clip, all from one decode and upload of the master.
 *
 * @throws InputError, WorkError; Interrupted when `signal` fires. Nothing half-written stays behind.
 */
export async function renderClips(job: ClipJob): Promise<void> {
  const { scene, deliveries } = job;
  const frames = framesBetween(scene, job.from ?? 0, job.to ?? scene.duration);
  const total = frames.length * deliveries.length;
  let done = 0;
  // All are opened before the work starts, so that a name that will not do is found at once.
  const clips = await openAll(job, frames.length);
  try {
    await onGpu(job, async (rendererFor) => {
      for (const { delivery, clip } of clips) {
        const renderer = rendererFor(delivery.output);
        await writeFrames(clip, renderer, cameras(scene, delivery.output, frames), () => {
          expectGoing(job);
          job.onProgress?.({ delivery, done: ++done, total });
        });
        await clip.finish();
        renderer.destroy();
      }
    });
  } finally {
    await Promise.all(clips.map(({ clip }) => clip.abort()));
  }
}

/** Renders each delivery's frame at one instant: the very pixels that the clip shows then. */
export async function renderStills(job: StillJob): Promise<void> {
  const { scene, deliveries, overwrite } = job;
  await expectNone(
    deliveries.map(({ file, output }) => stillProblems({ ...output, file, overwrite })),
  );
  const frame = frameAt(job.at, scene.fps);
  await onGpu(job, async (rendererFor) => {
    for (const { output, file } of deliveries) {
      expectGoing(job);
      const renderer = rendererFor(output);
      const rgba = new Uint8Array(renderer.rgbaBytes);
      for (const camera of cameras(scene, output, [frame])) renderer.draw(camera);
      renderer.readRgba(rgba);
      renderer.destroy();
      const { width, height } = output;
      const alpha = isTransparent(output);
      await writeStill({ file, rgba, width, height, overwrite, alpha });
    }
  });
}

/** Runs `work` with the master on the GPU. */
async function onGpu(
  job: Job,
  work: (rendererFor: (output: Output) => FrameRenderer) => Promise<void>,
): Promise<void> {
  const context = await openContext();
  try {
    const pixels = await openMaster(job.scene.master);
    expectGoing(job);
    const master = uploadMaster(context, pixels);
    expectGoing(job);
    await work(({ width, height, background }) =>
      createFrameRenderer(context, master, {
        width,
        height,
        background,
        samples: SAMPLES[job.quality],
      }),
    );
  } finally {
    context.close();
  }
}

interface OpenedClip {
  readonly delivery: Delivery;
  readonly clip: ClipWriter;
}

async function openAll(job: ClipJob, frames: number): Promise<OpenedClip[]> {
  const { ffmpeg, overwrite, quality, scene } = job;
  const optionsOf = async ({ file, output }: Delivery) => {
    const { width, height } = output;
    const alpha = isTransparent(output) && (await keepsAlpha(file));
    return { file, width, height, fps: scene.fps, overwrite, ffmpeg, quality, alpha, frames };
  };
  const options = await Promise.all(job.deliveries.map(optionsOf));
  await expectNone(options.map(clipProblems));
  const opened: OpenedClip[] = [];
  try {
    for (const [index, delivery] of job.deliveries.entries()) {
      opened.push({ delivery, clip: await openClip(options[index]!) });
    }
    return opened;
  } catch (error) {
    await Promise.all(opened.map(({ clip }) => clip.abort()));
    throw error;
  }
}

/** Tells everything that is wrong with all deliveries at once. */
async function expectNone(found: readonly Promise<Problem[]>[]): Promise<void> {
  const problems = (await Promise.all(found)).flat();
  if (problems.length > 0) throw new InputError(problems);
}

function expectGoing({ signal }: Job): void {
  if (signal?.aborted) throw new Interrupted();
}

const isTransparent = ({ background }: Output): boolean =>
  background.kind === 'colour' && background.colour[3] < 255;

/** Draws and hands over frame by frame; the encoder works on one while the next is drawn. */
async function writeFrames(
  clip: ClipWriter,
  renderer: FrameRenderer,
  cameras: Iterable<Camera>,
  onFrame: () => void,
): Promise<void> {
  const rgba = clip.pixelFormat === 'rgba';
  const buffers = [0, 1].map(() => new Uint8Array(rgba ? renderer.rgbaBytes : renderer.yuvBytes));
  let written: Promise<void> = Promise.resolve();
  for (const camera of cameras) {
    const [frame] = buffers as [Uint8Array];
    buffers.reverse();
    renderer.draw(camera);
    if (rgba) renderer.readRgba(frame);
    else renderer.readYuv(frame);
    await written;
    written = clip.write(frame);
    // An error shows when it is awaited, one frame later.
    written.catch(() => {});
    onFrame();
  }
  await written;
}

function framesBetween(scene: Scene, from: number, to: number): number[] {
  const first = frameAt(from, scene.fps);
  const end = Math.min(frameCount(scene.duration, scene.fps), frameCount(to, scene.fps));
  return Array.from({ length: end - first }, (_, index) => first + index);
}

function* cameras(scene: Scene, output: Output, frames: readonly number[]): Iterable<Camera> {
  const timeline = buildTimeline(output.keyframes);
  for (const frame of frames) {
    yield resolveCamera(timeline.at(frameTime(frame, scene.fps)), output.width, output.height);
  }
}
