import { openContext } from '../render/context.js';
import { createFrameRenderer, type FrameRenderer } from '../render/frame.js';
import type { MasterTexture } from '../render/masterTexture.js';
import { prepareMaster } from '../render/prepare.js';
import type { Output } from '../scene/types.js';
import { widthForDraft } from './exposures.js';
import { expectGoing, type Job } from './jobs.js';

/** A place to draw in, with the job's master on the GPU. */
export interface Studio {
  /** @param deep keep more than 8 bits to the end */
  rendererFor(output: Output, deep: boolean): FrameRenderer;
}

/**
 * Runs `work` in a studio and clears it away afterwards.
 *
 * @param keepDepth whether any delivery can show more than 8 bits
 * @param ffmpeg the program that reads masters which only it can read
 */
export async function inStudio(
  job: Job,
  { keepDepth, ffmpeg }: { readonly keepDepth: boolean; readonly ffmpeg?: string },
  work: (studio: Studio) => Promise<void>,
): Promise<void> {
  const { scene, quality } = job;
  const { signal } = job;
  // Decoding begins while the context opens.
  const opening = openContext();
  try {
    const master = await prepareMaster(opening, scene.master, {
      keepDepth,
      ...(quality === 'draft' ? { maxWidth: widthForDraft(job) } : {}),
      ...(scene.background.kind === 'colour' ? { background: rgbOf(scene.background.colour) } : {}),
      ...(ffmpeg === undefined ? {} : { ffmpeg }),
      ...(signal === undefined ? {} : { signal }),
    });
    const context = await opening;
    noteReduction(job, master);
    expectGoing(job);
    await work({
      rendererFor: ({ width, height, background }, deep) =>
        createFrameRenderer(context, master, {
          ...{ width, height, background, quality, deep, sharpness: scene.sharpen },
        }),
    });
  } finally {
    await opening.then(
      (context) => context.close(),
      () => {},
    );
  }
}

const rgbOf = ([r, g, b]: readonly number[]) => [r!, g!, b!] as const;

function noteReduction({ onNote }: Job, { layout, reducedFrom }: MasterTexture): void {
  if (reducedFrom === undefined) return;
  onNote?.(
    `The master of ${reducedFrom.width}x${reducedFrom.height} is too large for this graphics device and was taken at ${layout.width}x${layout.height}.`,
  );
}
