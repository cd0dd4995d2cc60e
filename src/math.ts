export const TAU = 2 * Math.PI;
export const HALF_PI = Math.PI / 2;

export const radians = (degrees: number): number => (degrees * Math.PI) / 180;
export const degrees = (radians: number): number => (radians * 180) / Math.PI;

export const clamp = (value: number, low: number, high: number): number =>
  Math.min(high, Math.max(low, value));

export const mix = (from: number, to: number, share: number): number => from + (to - from) * share;

/** From 0 to 1 as `t` does, level at both ends and beyond them. */
export const smoothStep = (t: number): number => {
  const u = clamp(t, 0, 1);
  return u * u * (3 - 2 * u);
};

/** Going round: the same place from 0 to below `around`. */
export const wrapped = (value: number, around: number): number =>
  ((value % around) + around) % around;

/** Arc sine and cosine that take rounding errors past ±1 for ±1. */
export const asinClamped = (x: number): number => Math.asin(clamp(x, -1, 1));
export const acosClamped = (x: number): number => Math.acos(clamp(x, -1, 1));
