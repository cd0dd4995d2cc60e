import { h264Level } from './level.js';
import type { Rational } from './rate.js';
import type { PixelFormat, Quality } from './types.js';

/** What an encoder has to know of the clip. Sides in pixels. */
export interface Stream {
  readonly width: number;
  readonly height: number;
  readonly rate: Rational;
  readonly quality: Quality;
  /** The frames have transparent parts that are to be kept. */
  readonly alpha: boolean;
}

/** A new codec is one more row in CODECS and its name in the containers that hold it. */
export interface Codec {
  readonly title: string;
  /** ffmpeg's encoder. */
  readonly encoder: string;
  readonly alpha: boolean;
  /** Stored as BT.709 Y'CbCr, and tagged so. */
  readonly bt709: boolean;
  /** What the frames have to be; `alpha` only where the codec has it. */
  pixelFormat(alpha: boolean): PixelFormat;
  /** Output options of ffmpeg. */
  options(stream: Stream): string[];
  readonly longestSide: number;
}

const yuv = (): PixelFormat => 'yuv420p';
const rgba = (): PixelFormat => 'rgba';

/** Frames that come as RGBA for the sake of their alpha: the matrix that the packed frames already had. */
const TO_YUVA =
  'scale=out_color_matrix=bt709:out_range=tv:flags=accurate_rnd+full_chroma_int,format=yuva420p';

export const CODECS = {
  h264: {
    title: 'H.264',
    encoder: 'libx264',
    alpha: false,
    bt709: true,
    longestSide: 16384,
    pixelFormat: yuv,
    options({ width, height, rate, quality }) {
      const level = h264Level(width, height, rate);
      return [
        ...['-pix_fmt', 'yuv420p', '-profile:v', 'high', '-crf', '18'],
        ...['-preset', quality === 'draft' ? 'veryfast' : 'medium'],
        ...(level ? ['-level:v', level.name] : []),
        // A stream that says 4.0 must also keep to the bits of 4.0, or some players stop on it.
        ...(level ? ['-maxrate', `${level.bitRate}k`, '-bufsize', `${level.bufferSize}k`] : []),
      ];
    },
  },
  vp9: {
    title: 'VP9',
    encoder: 'libvpx-vp9',
    alpha: true,
    bt709: true,
    longestSide: 65535,
    pixelFormat: (alpha) => (alpha ? 'rgba' : 'yuv420p'),
    options: ({ width, quality, alpha }) => [
      ...['-crf', '24', '-b:v', '0', '-row-mt', '1'],
      ...['-tile-columns', String(Math.max(0, Math.min(6, Math.floor(Math.log2(width / 256)))))],
      ...(quality === 'draft'
        ? ['-deadline', 'realtime', '-cpu-used', '8']
        : ['-deadline', 'good', '-cpu-used', '4']),
      // Alternate reference frames have no place in the alpha stream.
      ...(alpha ? ['-vf', TO_YUVA, '-auto-alt-ref', '0'] : ['-pix_fmt', 'yuv420p']),
    ],
  },
  webp: {
    title: 'WebP',
    encoder: 'libwebp_anim',
    alpha: true,
    bt709: false,
    longestSide: 16383,
    pixelFormat: rgba,
    options: ({ quality }) => [
      // libwebp makes its own BT.601 4:2:0 of it, the only kind that WebP knows.
      ...['-pix_fmt', 'bgra', '-lossless', '0'],
      ...(quality === 'draft'
        ? ['-quality', '75', '-compression_level', '1']
        : ['-quality', '90', '-compression_level', '4']),
    ],
  },
  gif: {
    title: 'GIF',
    encoder: 'gif',
    alpha: true,
    bt709: false,
    longestSide: 65535,
    pixelFormat: rgba,
    options: () => [],
  },
} satisfies Record<string, Codec>;

export type CodecName = keyof typeof CODECS;
