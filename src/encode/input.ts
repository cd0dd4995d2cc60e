import { type Rational, rateText } from './rate.js';
import type { PixelFormat } from './types.js';
import type { Yuv10Format } from './yuv10.js';

/** Said of the input and again of the output: then ffmpeg has nothing to convert. */
const BT709 = [
  ...['-color_range', 'tv', '-colorspace', 'bt709'],
  ...['-color_primaries', 'bt709', '-color_trc', 'bt709'],
  ...['-chroma_sample_location', 'left'],
];

/** ffmpeg's input options for raw frames on its standard input. */
export const rawInput = (
  format: PixelFormat | Yuv10Format,
  width: number,
  height: number,
  rate: Rational,
) => [
  ...['-f', 'rawvideo', '-pixel_format', format, '-video_size', `${width}x${height}`],
  ...['-framerate', rateText(rate)],
  ...(format.startsWith('yuv') ? BT709 : []),
  ...['-i', 'pipe:0'],
];

/** ffmpeg's output options that tag a Y'CbCr stream. */
export const videoTags = BT709;
