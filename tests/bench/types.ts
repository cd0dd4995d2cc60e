import type { Ffmpeg } from '../../src/encode/ffmpeg.js';
import type { GlContext } from '../../src/render/context.js';

/** The least or the most that a ratio may be. */
export interface Target {
  readonly kind: 'at least' | 'at most';
  readonly value: number;
}

/** One line of the table: one figure of ours and one that it is held against, from the same rounds. */
export interface Result {
  readonly work: string;
  readonly against: string;
  readonly unit: string;
  readonly ours: number;
  readonly theirs: number;
  /** Median of the rounds' own ratios, ours / theirs. */
  readonly ratio: number;
  /** Left out where the issue sets none. */
  readonly target?: Target;
  readonly note?: string;
}

/** What a result depends on besides the work. */
export interface Machine {
  readonly renderer: string;
  readonly cpus: number;
  /** The last minute's, as the row began. */
  readonly load: number;
  /** Cores that other programs kept busy meanwhile, on average; unknown without /proc. */
  readonly othersBusy?: number;
}

export type Entry = Result & Machine & { readonly row: string };

export interface Bench {
  readonly context: GlContext;
  readonly ffmpeg: Ffmpeg;
  /** Rounds of each comparison, after one to warm up. */
  readonly rounds: number;
  /** Frames of each measurement, where the user asks for so many. */
  readonly frames?: number;
  readonly large: boolean;
  /** For files of any size; removed in the end. */
  readonly folder: string;
  /** Where the pictures go. */
  readonly out: string;
  /** Of the example master, or one like it, by its width; made when first asked for. */
  master(width: number): Promise<string>;
  /** Tells somebody who waits. */
  say(words: string): void;
}

/** Gives each result as soon as it is found. */
export type Row = (bench: Bench) => AsyncIterable<Result>;
