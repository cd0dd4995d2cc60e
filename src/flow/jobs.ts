import type { Flashing } from '../comfort/flashes.js';
import type { Choice } from '../encode/clip.js';
import type { Ffmpeg } from '../encode/ffmpeg.js';
import { InputError, type Problem } from '../errors.js';
import type { Quality } from '../render/quality.js';
import type { Sequence, SequenceOutput } from '../scene/types.js';

export interface Delivery {
  readonly output: SequenceOutput;
  /** Where it goes; its extension chooses the format. */
  readonly file: string;
  /** The file there was made by this very run and may be replaced. */
  readonly ours?: boolean;
}

export interface Job {
  readonly scene: Sequence;
  readonly deliveries: readonly Delivery[];
  readonly quality: Quality;
  readonly overwrite: boolean;
  readonly signal?: AbortSignal;
  /** Told, in a sentence, where something stood in for what was asked for. */
  readonly onNote?: (note: string) => void;
  /** Told of each master's file when its reading begins. */
  readonly onMaster?: (file: string) => void;
}

export interface ClipJob extends Job {
  readonly ffmpeg: Ffmpeg;
  /** Codec, encoder and their settings, for all deliveries; by default what each file's name asks for. */
  readonly choice?: Choice;
  /** First and last instant to render, in seconds; the whole scene without them. */
  readonly from?: number;
  readonly to?: number;
  readonly onProgress?: (progress: ClipProgress) => void;
  /** Told of each stretch of a clip that flashes more than WCAG 2 allows, when the clip is done. */
  readonly onFlashing?: (delivery: Delivery, flashing: Flashing) => void;
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
  /** Bits a channel: 8 by default; 16 for PNG and TIFF. */
  readonly depth?: 8 | 16;
  /** Draw the thirds, the safe area and the marks over it; with 8 bits only. */
  readonly guides?: boolean;
  /** The program that reads masters which only it can read; by default the one installed. */
  readonly ffmpeg?: string;
}

/** Tells everything that is wrong with all deliveries at once. @throws InputError */
export async function expectNone(found: readonly Promise<Problem[]>[]): Promise<void> {
  const problems = (await Promise.all(found)).flat();
  if (problems.length > 0) throw new InputError(problems);
}

/** Whether frames of that output can be transparent anywhere, in any shot. */
export const isTransparent = ({ shots }: Sequence, { index }: SequenceOutput): boolean =>
  shots.some(({ outputs }) => {
    const { background } = outputs[index]!;
    return background.kind === 'colour' && background.colour[3] < 255;
  });
