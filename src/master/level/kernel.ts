/** Samples to either side of the middle at which the kernel ends. */
export const REACH = 3;
/** Samples that the kernel takes in at its own width. */
export const TAPS = 2 * REACH;

/** Places between two samples for which there are weights. */
export const STEPS = 1024;

/**
 * Lanczos's window on the ideal low-pass, three lobes: sinc(x) sinc(x / 3).
 * Source: Duchon, "Lanczos Filtering in One and Two Dimensions", Journal of Applied Meteorology 18(8), 1979.
 */
function lanczos3(x: number): number {
  if (x === 0) return 1;
  // Whole numbers are its zeros: exact ones keep an unturned picture as it is.
  if (Math.abs(x) >= REACH || Number.isInteger(x)) return 0;
  const a = Math.PI * x;
  return (REACH * Math.sin(a) * Math.sin(a / REACH)) / (a * a);
}

/** The kernel from 0 to REACH; a straight line between its steps is within 2e-6. */
const TABLE = Float64Array.from({ length: REACH * STEPS + 2 }, (_, i) => lanczos3(i / STEPS));

/** The TAPS weights for each of STEPS places between two samples; each TAPS of them add up to 1. */
export const PHASES = Float64Array.from({ length: (STEPS + 1) * TAPS }, (_, i) => {
  const share = Math.floor(i / TAPS) / STEPS;
  const each = Array.from({ length: TAPS }, (__, k) => lanczos3(k - (REACH - 1) - share));
  return each[i % TAPS]! / each.reduce((sum, weight) => sum + weight, 0);
});

/**
 * The weights of the six samples round a place `share` (0 to 1) past the third of them; they add up to 1.
 */
export function narrowKernel(share: number, weights: Float64Array): void {
  const place = share * STEPS;
  const step = place | 0;
  const rest = place - step;
  const at = step * TAPS;
  for (let k = 0; k < TAPS; k++) {
    const from = PHASES[at + k]!;
    weights[k] = from + rest * (PHASES[at + TAPS + k]! - from);
  }
}

/** Room for the weights of a kernel widened to `widest` times its own width. */
export const roomFor = (widest: number): number => 2 * Math.ceil(REACH * widest) + 2;

/** The first sample that the kernel, widened by `scale` and put at `place`, takes in. */
export const firstOf = (place: number, scale: number): number => Math.ceil(place - REACH * scale);

/**
 * The weights of the samples from `firstOf(place, scale)` on (sample k has its middle at k); they add up to 1.
 *
 * @param weights takes them; at least `roomFor(scale)` long
 * @returns how many
 */
export function wideKernel(place: number, scale: number, weights: Float64Array): number {
  const first = firstOf(place, scale);
  const count = Math.floor(place + REACH * scale) - first + 1;
  const step = STEPS / scale;
  let sum = 0;
  for (let i = 0; i < count; i++) {
    const x = Math.min(REACH * STEPS, Math.abs(first + i - place) * step);
    const from = x | 0;
    const weight = TABLE[from]! + (TABLE[from + 1]! - TABLE[from]!) * (x - from);
    weights[i] = weight;
    sum += weight;
  }
  for (let i = 0; i < count; i++) weights[i]! /= sum;
  return count;
}
