import type { Rational } from './rate.js';

export interface Level {
  readonly name: string;
  /** Macroblocks (16 x 16 pixels) per second and per frame. */
  readonly macroblocksPerSecond: number;
  readonly macroblocksPerFrame: number;
  /** In High profile, kbit/s and kbit. */
  readonly bitRate: number;
  readonly bufferSize: number;
}

/** ITU-T H.264 Table A-2: High profile may have 1.25 times the bits of Table A-1. */
const HIGH_PROFILE = 1.25;

/**
 * ITU-T H.264 Table A-1, as in FFmpeg's libavcodec/h264_levels.c. Lower levels than 3.1 only limit the
 * bits: nothing that plays clips today needs them.
 */
export const LEVELS: readonly Level[] = (
  [
    ['3.1', 108000, 3600, 14000, 14000],
    ['3.2', 216000, 5120, 20000, 20000],
    ['4.0', 245760, 8192, 20000, 25000],
    ['4.2', 522240, 8704, 50000, 62500],
    ['5.0', 589824, 22080, 135000, 135000],
    ['5.1', 983040, 36864, 240000, 240000],
    ['5.2', 2073600, 36864, 240000, 240000],
    ['6.0', 4177920, 139264, 240000, 240000],
    ['6.1', 8355840, 139264, 480000, 480000],
    ['6.2', 16711680, 139264, 800000, 800000],
  ] as const
).map(([name, macroblocksPerSecond, macroblocksPerFrame, bitRate, bufferSize]) => ({
  name,
  macroblocksPerSecond,
  macroblocksPerFrame,
  bitRate: bitRate * HIGH_PROFILE,
  bufferSize: bufferSize * HIGH_PROFILE,
}));

/** The lowest H.264 level for frames of that size (pixels) and rate; undefined above them all. */
export function h264Level(width: number, height: number, rate: Rational): Level | undefined {
  const across = Math.ceil(width / 16);
  const down = Math.ceil(height / 16);
  const frame = across * down;
  return LEVELS.find(
    (level) =>
      frame <= level.macroblocksPerFrame &&
      frame * rate.numerator <= level.macroblocksPerSecond * rate.denominator &&
      Math.max(across, down) ** 2 <= 8 * level.macroblocksPerFrame,
  );
}
