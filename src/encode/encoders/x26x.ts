import { bitCeiling, h264Level } from '../level.js';
import { crfOrBitrate, type Encoder, named, type Presets, type Stream } from './types.js';

const presets = (usual: Presets['usual']): Presets =>
  named(
    'ultrafast superfast veryfast faster fast medium slow slower veryslow placebo'.split(' '),
    usual,
  );

export const x264: Encoder = {
  name: 'libx264',
  hardware: false,
  // At 0 it would be lossless, which High profile is not.
  crf: { smallest: 1, largest: 51, usual: 18 },
  bitrate: true,
  presets: presets({ draft: 'veryfast', final: 'medium' }),
  options: (stream) => [
    ...['-pix_fmt', 'yuv420p', '-profile:v', 'high', '-preset', stream.preset],
    ...crfOrBitrate(stream),
    ...levelOptions(stream),
  ],
};

/** The level that the size and the rate need; trueLevel.ts raises it where the bits need a higher one. */
function levelOptions({ width, height, rate, bitrate }: Stream): string[] {
  const level = h264Level(width, height, rate);
  if (!level) return [];
  const { bitRate, bufferSize } = bitCeiling(level, bitrate);
  return ['-level:v', level.name, '-maxrate', `${bitRate}k`, '-bufsize', `${bufferSize}k`];
}

/** HEVC's levels are left to x265, which knows the frames' bits. Its crf 20 looks like x264's 18 (common practice, no source). */
export const x265 = (bits: 8 | 10): Encoder => ({
  name: 'libx265',
  hardware: false,
  crf: { smallest: 0, largest: 51, usual: 20 },
  bitrate: true,
  presets: presets({ draft: 'superfast', final: 'medium' }),
  options: (stream) => [
    ...['-pix_fmt', bits === 10 ? 'yuv420p10le' : 'yuv420p'],
    ...['-profile:v', bits === 10 ? 'main10' : 'main', '-preset', stream.preset],
    ...['-x265-params', 'log-level=error'],
    ...crfOrBitrate(stream),
  ],
});
