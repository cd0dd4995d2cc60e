import type { Rational } from '../rate.js';
import type { Quality } from '../types.js';
import type { Yuv10Format } from '../yuv10.js';

/** What an encoder has to know of the clip. Sides in pixels. */
export interface Stream {
  readonly width: number;
  readonly height: number;
  readonly rate: Rational;
  readonly quality: Quality;
  /** The frames have transparent parts that are to be kept. */
  readonly alpha: boolean;
  /** Constant quality on the encoder's own scale, where no bit rate is asked for. */
  readonly crf: number;
  /** Average bits per second; then `crf` counts for nothing. */
  readonly bitrate?: number | undefined;
  /** One of the encoder's presets; empty where it has none. */
  readonly preset: string;
}

/** How long an encoder takes for how small a file. */
export interface Presets {
  /** From one end to the other. */
  readonly names: readonly string[];
  /** For messages and help: all of them, or where they begin and end. */
  readonly take: string;
  /** What each quality uses where nothing else is asked for. */
  readonly usual: Readonly<Record<Quality, string>>;
}

export interface QualityScale {
  /** The best picture. */
  readonly smallest: number;
  /** The smallest file. */
  readonly largest: number;
  readonly usual: number;
}

/** One of ffmpeg's encoders, and how it is told what to do. */
export interface Encoder {
  /** ffmpeg's name for it. */
  readonly name: string;
  /** It needs a chip and a driver, so it counts only where it has proved itself (see trial.ts). */
  readonly hardware: boolean;
  /** Undefined where it knows no constant quality that can be set. */
  readonly crf?: QualityScale;
  readonly bitrate: boolean;
  readonly presets?: Presets;
  /** Pixels. */
  readonly shortestSide?: number;
  readonly longestSide?: number;
  /** It loses transparency that its codec could keep. */
  readonly opaque?: boolean;
  /** What the codec's `rgba64le` frames become on their way to ffmpeg; by default they go as they are. */
  feed?(alpha: boolean): Yuv10Format;
  /** ffmpeg's options before its input. */
  readonly before?: readonly string[];
  /** ffmpeg's output options. */
  options(stream: Stream): string[];
}

/** Presets that are numbers, the slowest first. */
export function numbered(from: number, to: number, usual: Presets['usual']): Presets {
  const names = Array.from({ length: to - from + 1 }, (_, index) => String(from + index));
  return { names, take: `a whole number from ${from} (slowest) to ${to} (quickest)`, usual };
}

/** Presets that have names, the quickest first. */
export function named(names: readonly string[], usual: Presets['usual']): Presets {
  return { names, take: `${names.slice(0, -1).join(', ')} or ${names.at(-1)}`, usual };
}

/** Where the encoder calls constant quality `-crf`. */
export const crfOrBitrate = ({ crf, bitrate }: Stream): string[] =>
  bitrate === undefined ? ['-crf', String(crf)] : ['-b:v', String(bitrate)];
