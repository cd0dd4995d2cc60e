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
 * ITU-T H.264 Table A-1, as in FFmpeg's libavcodec/h264_levels.c, the lowest first. Lower levels than
 * 3.1 only limit the bits: nothing that plays clips today needs them.
 */
export const LEVELS: readonly Level[] = (
  [
    ['3.1', 108000, 3600, 14000, 14000],
    ['3.2', 216000, 5120, 20000, 20000],
    ['4.0', 245760, 8192, 20000, 25000],
    ['4.1', 245760, 8192, 50000, 62500],
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

/** What plays 4K recordings plays this, and its bits are more than a picture at crf 18 ever needs (common practice, no source). */
const PLAYED_WIDELY = '5.1';

/**
 * The most bits that a clip of that level's size and rate may have: those of 5.1 at least, more where
 * `bitrate` (bits per second) asks for it. Its own level's would hurt: a full-HD clip of noisy detail
 * that took 185 Mbit/s at crf 18 lost 8.8 dB of PSNR at level 4.0's 25 Mbit/s, and 6.5 dB at 4.1's 62.5
 * (60 frames, x264 medium). So the picture has what it needs, and the level is then told by what that
 * came to: see trueLevel.ts. An ordinary clip stays at its own.
 */
export function bitCeiling(level: Level, bitrate = 0): Level {
  const from = Math.max(
    LEVELS.indexOf(level),
    LEVELS.findIndex(({ name }) => name === PLAYED_WIDELY),
  );
  const enough = LEVELS.slice(from).find(({ bitRate }) => bitRate * 1000 >= bitrate);
  return enough ?? (LEVELS.at(-1) as Level);
}

/**
 * The lowest level, `level` or above it, whose buffer takes frames of these sizes (bytes, in the order of
 * decoding): the leaky bucket of Annex C, filled by each frame and drained at the level's bit rate.
 */
export function levelOfSizes(level: Level, sizes: Iterable<number>, rate: Rational): Level {
  const candidates = LEVELS.slice(LEVELS.indexOf(level)).map((each) => ({ each, held: 0 }));
  for (const size of sizes) {
    while (candidates.length > 1 && overflows(candidates[0]!, size)) candidates.shift();
    for (const candidate of candidates) {
      const drained = (candidate.each.bitRate * 1000 * rate.denominator) / rate.numerator;
      candidate.held = Math.max(0, candidate.held + size * 8 - drained);
    }
  }
  return candidates[0]!.each;
}

const overflows = ({ each, held }: { each: Level; held: number }, size: number): boolean =>
  held + size * 8 > each.bufferSize * 1000;
