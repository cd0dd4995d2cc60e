import { hardware } from './encoders/hardware.js';
import { gifLoop, webpLoop } from './encoders/loops.js';
import { aomAv1, svtAv1, vpxVp9 } from './encoders/open.js';
import { proRes422Hq, proRes4444 } from './encoders/prores.js';
import type { Encoder } from './encoders/types.js';
import { x264, x265 } from './encoders/x26x.js';
import type { PixelFormat } from './types.js';

/** A new codec is one more row in CODECS and its name in the containers that hold it. */
export interface Codec {
  readonly title: string;
  /** Of each sample in the file; of alpha too, where it has any. */
  readonly bits: number;
  readonly alpha: boolean;
  /** Stored as BT.709 Y'CbCr, and tagged so. */
  readonly bt709: boolean;
  /** Where players look for a name other than ffmpeg's usual one. */
  readonly tag?: string;
  /** What the frames have to be; `alpha` only where the codec has it. */
  pixelFormat(alpha: boolean): PixelFormat;
  /** Those that make it, the first choice first, hardware last. */
  readonly encoders: readonly [Encoder, ...Encoder[]];
  readonly longestSide: number;
}

const yuv = (): PixelFormat => 'yuv420p';
const yuv10 = (): PixelFormat => 'yuv420p10le';
const rgba = (): PixelFormat => 'rgba';
const rgba64 = (): PixelFormat => 'rgba64le';

const hevc = { alpha: false, bt709: true, tag: 'hvc1', longestSide: 16384 } as const;
const av1 = { alpha: false, bt709: true, longestSide: 16384 } as const;

export const CODECS = {
  h264: {
    title: 'H.264',
    bits: 8,
    alpha: false,
    bt709: true,
    longestSide: 16384,
    pixelFormat: yuv,
    encoders: [x264, ...hardware('h264', 8)],
  },
  hevc: {
    ...hevc,
    title: 'HEVC',
    bits: 8,
    pixelFormat: yuv,
    encoders: [x265(8), ...hardware('hevc', 8)],
  },
  'hevc-10': {
    ...hevc,
    title: 'HEVC with 10 bits',
    bits: 10,
    pixelFormat: yuv10,
    encoders: [x265(10), ...hardware('hevc', 10)],
  },
  av1: {
    ...av1,
    title: 'AV1',
    bits: 8,
    pixelFormat: yuv,
    encoders: [svtAv1(8), aomAv1(8), ...hardware('av1', 8)],
  },
  'av1-10': {
    ...av1,
    title: 'AV1 with 10 bits',
    bits: 10,
    pixelFormat: yuv10,
    encoders: [svtAv1(10), aomAv1(10), ...hardware('av1', 10)],
  },
  'prores-422hq': {
    title: 'ProRes 422 HQ',
    bits: 10,
    alpha: false,
    bt709: true,
    longestSide: 65534,
    pixelFormat: rgba64,
    encoders: [proRes422Hq],
  },
  'prores-4444': {
    title: 'ProRes 4444',
    bits: 10,
    alpha: true,
    bt709: true,
    longestSide: 65534,
    pixelFormat: rgba64,
    encoders: [proRes4444],
  },
  vp9: {
    title: 'VP9',
    bits: 8,
    alpha: true,
    bt709: true,
    longestSide: 65535,
    pixelFormat: (alpha) => (alpha ? 'rgba' : 'yuv420p'),
    encoders: [vpxVp9, ...hardware('vp9', 8)],
  },
  webp: {
    title: 'WebP',
    bits: 8,
    alpha: true,
    bt709: false,
    longestSide: 16383,
    pixelFormat: rgba,
    encoders: [webpLoop],
  },
  gif: {
    title: 'GIF',
    bits: 8,
    alpha: true,
    bt709: false,
    longestSide: 65535,
    pixelFormat: rgba,
    encoders: [gifLoop],
  },
} satisfies Record<string, Codec>;

export type CodecName = keyof typeof CODECS;

export const CODEC_NAMES = Object.keys(CODECS) as CodecName[];
