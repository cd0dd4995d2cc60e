import { cacheFolder } from '../cache/folder.js';
import { expectGoing } from '../errors.js';
import { noteOnFile } from '../master/transparency.js';
import { MOST_ADAPTIVE_SIDE } from '../render/assemble.js';
import { beginBackend } from '../render/backend.js';
import { type GlContext, openContext } from '../render/context.js';
import { createMixingRenderer, type FrameRenderer, type Source } from '../render/frame.js';
import type { MasterTexture } from '../render/masterTexture.js';
import { type PrepareOptions, prepareMaster } from '../render/prepare.js';
import { SAMPLING } from '../render/quality.js';
import type { Seen } from '../render/seen.js';
import { prepareVideo, type VideoMaster } from '../render/video/prepare.js';
import type { SequenceOutput } from '../scene/types.js';
import type { TimedLayer } from './exposures.js';
import { type Videos, videoTime } from './footage.js';
import type { Job } from './jobs.js';
import { type MasterRead, Masters, readsOf } from './masters.js';
import type { Stretch } from './stretches.js';

/** A place to draw in, for one job after the other: what they have in common stays on the GPU. */
export interface Studio {
  /**
   * Makes room for a job.
   *
   * @param stretches all that will be drawn
   */
  begin(job: Job, stretches: readonly Stretch[], reading: Reading): Session;
  close(): Promise<void>;
}

/** One job's time in a studio. */
export interface Session {
  /**
   * Puts the masters of a stretch on the GPU; stretches come in their order.
   *
   * @param meanwhile told of the stage while its only master is still being read: what is drawn with can be
   *   made ready there
   */
  prepare(stretch: Stretch, meanwhile?: (stage: Stage) => void): Promise<Stage>;
}

/** Where the frames of one stretch are drawn, until the next one is prepared. */
export interface Stage {
  /** @param deep keep more than 8 bits to the end */
  rendererFor(output: SequenceOutput, deep: boolean): FrameRenderer;
  /** Passes on what each frame is made of as soon as its video masters show the frame's instant. */
  shown(
    frames: Iterable<readonly TimedLayer[]>,
    output: SequenceOutput,
  ): AsyncIterable<readonly TimedLayer[]>;
}

export interface Reading {
  /** Whether any delivery can show more than 8 bits. */
  readonly keepDepth: boolean;
  readonly videos: Videos;
  /** The program that reads masters which only it can read. */
  readonly ffmpeg?: string;
  /** Read masters whole and make all their levels, for other views of them to come. */
  readonly whole?: boolean;
  /** What is looked up of each shot's master, where that is known. */
  readonly seen?: readonly (Seen | undefined)[];
}

/** Opens a studio; close it when done. That no context can be had shows when one is needed. */
export function openStudio(): Studio {
  beginBackend().catch(() => {});
  // Opened when a master's decoding has begun: opening keeps this thread busy, decoding another one.
  let opening: Promise<GlContext> | undefined;
  const open = () => {
    opening ??= openContext();
    return opening;
  };
  const masters = new Masters();
  return {
    begin(job, stretches, reading) {
      const reads = readsOf(job, reading);
      return {
        async prepare(stretch, meanwhile) {
          const { shots } = stretch;
          const later = stretches.slice(stretches.indexOf(stretch) + 1);
          const stageOf = (context: GlContext, textures: readonly MasterTexture[]) =>
            createStage(context, textures, job, stretch);
          const load = (read: MasterRead) =>
            loadMaster(open, read, job, reading, (texture, context) => {
              if (shots.length === 1) meanwhile?.(stageOf(context, [texture]));
            });
          const textures = await masters.take(
            shots.map((shot) => reads[shot]!),
            later.flatMap(({ shots }) => shots.map((shot) => reads[shot]!)),
            load,
          );
          return stageOf(await open(), textures);
        },
      };
    },
    async close() {
      masters.close();
      await opening?.then(
        (context) => context.close(),
        () => {},
      );
    },
  };
}

function createStage(
  context: GlContext,
  textures: readonly MasterTexture[],
  { scene, quality }: Job,
  { shots }: Stretch,
): Stage {
  return {
    async *shown(frames, { width, height }) {
      const samples = SAMPLING[quality].samples || MOST_ADAPTIVE_SIDE;
      for (const layers of frames) {
        for (const { source, at, cameras } of layers) {
          const master = textures[source]!;
          if (isVideoMaster(master)) {
            const time = videoTime(scene.shots[shots[source]!]!, at);
            await master.showAt(time, { cameras, width, height, samples });
          }
        }
        yield layers;
      }
    },
    rendererFor({ width, height, index }, deep) {
      const sources = shots.map((shot, place): Source => {
        const { outputs, sharpen } = scene.shots[shot]!;
        const { background } = outputs[index]!;
        return { master: textures[place]!, background, sharpness: sharpen };
      });
      return createMixingRenderer(context, sources, { width, height, quality, deep });
    },
  };
}

/** Runs `work` in a studio of its own and clears it away afterwards. */
export async function inStudio(
  job: Job,
  stretches: readonly Stretch[],
  reading: Reading,
  work: (session: Session) => Promise<void>,
): Promise<void> {
  const studio = openStudio();
  try {
    await work(studio.begin(job, stretches, reading));
  } finally {
    await studio.close();
  }
}

async function loadMaster(
  open: () => Promise<GlContext>,
  { file, options }: MasterRead,
  job: Job,
  { videos, ffmpeg }: Reading,
  onTexture: NonNullable<PrepareOptions['onTexture']>,
): Promise<MasterTexture> {
  job.onMaster?.(file);
  const facts = videos.get(file);
  const reading = {
    ...options,
    ...(ffmpeg === undefined ? {} : { ffmpeg }),
    ...(job.signal === undefined ? {} : { signal: job.signal }),
  };
  const master =
    facts === undefined
      ? await prepareMaster(open, file, { ...reading, onTexture, cache: cacheFolder() })
      : prepareVideo(await open(), facts, reading);
  if (facts === undefined) {
    for (const note of await noteOnFile(file)) job.onNote?.(`${file}: ${note}`);
  }
  noteReduction(job, file, master);
  expectGoing(job.signal);
  return master;
}

const isVideoMaster = (master: MasterTexture): master is VideoMaster => 'showAt' in master;

function noteReduction({ onNote, scene }: Job, file: string, master: MasterTexture): void {
  const { layout, reducedFrom } = master;
  if (reducedFrom === undefined) return;
  const only = scene.shots.every((shot) => shot.master === file);
  onNote?.(
    `The master${only ? '' : ` ${file}`} of ${reducedFrom.width}x${reducedFrom.height} is too large for this graphics device and was taken at ${layout.width}x${layout.height}.`,
  );
}
