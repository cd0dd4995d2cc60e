import { clipProblems, keepsAlpha, openClip } from '../encode/clip.js';
import { opaqueClipNote } from '../encode/opaque.js';
import type { SoundPlan } from '../encode/sound.js';
import { bytesPerFrame, type ClipWriter, type PixelFormat } from '../encode/types.js';
import type { FrameRenderer, Layer } from '../render/frame.js';
import { isSphere } from '../scene/shapes.js';
import type { SequenceOutput } from '../scene/types.js';
import { type ClipJob, type Delivery, expectNone, isTransparent } from './jobs.js';

export interface OpenedClip {
  readonly delivery: Delivery;
  readonly clip: ClipWriter;
}

/** Whether frames of that layout can show more than 8 bits. */
export const isDeep = (format: PixelFormat): boolean =>
  format === 'yuv420p10le' || format === 'rgba64le';

/** Opens all of a job's clips, or none. @throws InputError with everything wrong with any of them */
export async function openAll(
  job: ClipJob,
  frames: number,
  sound?: SoundPlan,
): Promise<OpenedClip[]> {
  const { ffmpeg, overwrite, scene, choice = {}, onNote = () => {} } = job;
  const quality = job.quality === 'draft' ? ('draft' as const) : ('final' as const);
  const optionsOf = async ({ file, output }: Delivery) => {
    const { width, height } = output;
    const transparent = isTransparent(scene, output);
    const alpha = transparent && (await keepsAlpha(file, choice));
    const clip = { file, width, height, fps: scene.fps, overwrite, quality, choice, alpha };
    const spherical = isSphere(output.shape);
    return { ...clip, spherical, ffmpeg, frames, onNote, sound, opaque: transparent && !alpha };
  };
  const options = await Promise.all(job.deliveries.map(optionsOf));
  await expectNone(options.map(clipProblems));
  for (const { file, opaque } of options) if (opaque) onNote(opaqueClipNote(file, choice));
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

/** What is done with each frame, by its number in the clip, before it is written. */
export type OnFrame = (pixels: Uint8Array, frame: number) => void;

/** Draws and hands over frame by frame; the encoder works on one while the next is drawn. */
export async function writeFrames(
  clip: ClipWriter,
  { width, height }: SequenceOutput,
  renderer: FrameRenderer,
  frames: readonly number[],
  exposures: AsyncIterable<readonly Layer[]>,
  onFrame: OnFrame,
): Promise<void> {
  const bytes = bytesPerFrame(clip.pixelFormat, width, height);
  const buffers = [new Uint8Array(bytes), new Uint8Array(bytes)];
  let written: Promise<void> = Promise.resolve();
  let index = 0;
  for await (const exposure of exposures) {
    const [pixels] = buffers as [Uint8Array];
    buffers.reverse();
    renderer.mix(exposure);
    renderer.read(clip.pixelFormat, pixels);
    onFrame(pixels, frames[index++]!);
    await written;
    written = clip.write(pixels);
    // An error shows when it is awaited, one frame later.
    written.catch(() => {});
  }
  await written;
}
