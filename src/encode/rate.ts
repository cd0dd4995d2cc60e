export interface Rational {
  readonly numerator: number;
  readonly denominator: number;
}

const LARGEST_DENOMINATOR = 1001;
/** 23.98 is the loosest way in which 24000/1001 is written. */
const NTSC_TOLERANCE = 0.005;

/**
 * Frames per second as the exact fraction that is meant: 29.97 is 30000/1001 (the NTSC rates are
 * whole rates times 1000/1001: SMPTE ST 12-1, from memory), 12.5 is 25/2.
 */
export function frameRate(fps: number): Rational {
  if (Number.isInteger(fps)) return { numerator: fps, denominator: 1 };
  const whole = Math.round((fps * 1001) / 1000);
  if (whole > 0 && Math.abs((whole * 1000) / 1001 - fps) < NTSC_TOLERANCE) {
    return { numerator: whole * 1000, denominator: 1001 };
  }
  for (let denominator = 2; denominator <= LARGEST_DENOMINATOR; denominator++) {
    const numerator = Math.round(fps * denominator);
    if (Math.abs(numerator / denominator - fps) < 1e-7) return { numerator, denominator };
  }
  return { numerator: Math.round(fps * 1000), denominator: 1000 };
}

/** As ffmpeg reads it. */
export const rateText = (rate: Rational): string => `${rate.numerator}/${rate.denominator}`;

/** Ticks per second of an MP4 track in which every frame begins on a tick. */
export const trackTimescale = ({ numerator }: Rational): number =>
  numerator < 1000 ? numerator * 1000 : numerator;
