import { openContext } from '../render/context.js';
import { createMixingRenderer, type FrameRenderer, type Source } from '../render/frame.js';
import type { MasterTexture } from '../render/masterTexture.js';
import { prepareMaster } from '../render/prepare.js';
import type { SequenceOutput } from '../scene/types.js';
import { expectGoing, type Job } from './jobs.js';
import { type MasterRead, Masters, readsOf } from './masters.js';
import type { Stretch } from './stretches.js';

/** A place to draw in. */
export interface Studio {
  /** Puts the masters of a stretch on the GPU; stretches come in their order. */
  prepare(stretch: Stretch): Promise<Stage>;
}

/** Where the frames of one stretch are drawn, until the next one is prepared. */
export interface Stage {
  /** @param deep keep more than 8 bits to the end */
  rendererFor(output: SequenceOutput, deep: boolean): FrameRenderer;
}

/**
 * Runs `work` in a studio and clears it away afterwards.
 *
 * @param stretches all that will be drawn
 * @param keepDepth whether any delivery can show more than 8 bits
 * @param ffmpeg the program that reads masters which only it can read
 */
export async function inStudio(
  job: Job,
  stretches: readonly Stretch[],
  { keepDepth, ffmpeg }: { readonly keepDepth: boolean; readonly ffmpeg?: string },
  work: (studio: Studio) => Promise<void>,
): Promise<void> {
  const { scene, quality, signal } = job;
  // Decoding begins while the context opens.
  const opening = openContext();
  try {
    const reads = readsOf(job);
    const load = async ({ file, options }: MasterRead): Promise<MasterTexture> => {
      job.onMaster?.(file);
      const master = await prepareMaster(opening, file, {
        ...{ keepDepth, ...options },
        ...(ffmpeg === undefined ? {} : { ffmpeg }),
        ...(signal === undefined ? {} : { signal }),
      });
      noteReduction(job, file, master);
      expectGoing(job);
      return master;
    };
    const masters = new Masters(load);
    await work({
      async prepare(stretch) {
        const { shots } = stretch;
        const later = stretches.slice(stretches.indexOf(stretch) + 1);
        const textures = await masters.take(
          shots.map((shot) => reads[shot]!),
          later.flatMap(({ shots }) => shots.map((shot) => reads[shot]!)),
        );
        const context = await opening;
        return {
          rendererFor({ width, height, index }, deep) {
            const sources = shots.map((shot, place): Source => {
              const { outputs, sharpen } = scene.shots[shot]!;
              const { background } = outputs[index]!;
              return { master: textures[place]!, background, sharpness: sharpen };
            });
            return createMixingRenderer(context, sources, { width, height, quality, deep });
          },
        };
      },
    });
  } finally {
    await opening.then(
      (context) => context.close(),
      () => {},
    );
  }
}

function noteReduction({ onNote, scene }: Job, file: string, master: MasterTexture): void {
  const { layout, reducedFrom } = master;
  if (reducedFrom === undefined) return;
  const only = scene.shots.every((shot) => shot.master === file);
  onNote?.(
    `The master${only ? '' : ` ${file}`} of ${reducedFrom.width}x${reducedFrom.height} is too large for this graphics device and was taken at ${layout.width}x${layout.height}.`,
  );
}
