import type { Ease } from '../scene/types.js';

/** One coordinate of a cubic Bezier curve from 0 to 1 with inner control values `a` and `b`. */
const curve = (a: number, b: number, t: number): number =>
  ((1 + 3 * a - 3 * b) * t + 3 * b - 6 * a) * t * t + 3 * a * t;

const slope = (a: number, b: number, t: number): number =>
  (3 * (1 + 3 * a - 3 * b) * t + 2 * (3 * b - 6 * a)) * t + 3 * a;

/**
 * The curve's parameter at `x`, for x1, x2 and x from 0 to 1, where x(t) never falls:
 * Newton's steps, each kept inside a bracket that halves when a step would leave it.
 */
function parameterAt(x: number, x1: number, x2: number): number {
  let low = 0;
  let high = 1;
  let t = x;
  for (let step = 0; step < 80; step++) {
    const miss = curve(x1, x2, t) - x;
    if (miss === 0 || high - low < 1e-15) break;
    if (miss > 0) high = t;
    else low = t;
    const next = t - miss / slope(x1, x2, t);
    if (Math.abs(next - t) < 1e-16) break;
    t = next > low && next < high ? next : (low + high) / 2;
  }
  return t;
}

/**
 * The share of the way covered at `progress` (0 to 1) of the time, as CSS Easing Functions Level 1
 * (W3C) defines it; `hold` stays at 0 until the end.
 */
export function eased(ease: Ease, progress: number): number {
  if (progress <= 0) return 0;
  if (progress >= 1) return 1;
  if (ease.kind === 'hold') return 0;
  if (ease.kind === 'linear') return progress;
  const [x1, y1, x2, y2] = ease.points;
  return curve(y1, y2, parameterAt(progress, x1, x2));
}

/** Of the time; what an ease covers in it is its speed at that end. */
const MOMENT = 1e-6;

/** How fast an ease sets out, and how fast it arrives: 1 is as fast as `linear`. */
export const speedIn = (ease: Ease): number => eased(ease, MOMENT) / MOMENT;
export const speedOut = (ease: Ease): number =>
  ease.kind === 'hold' ? 0 : (1 - eased(ease, 1 - MOMENT)) / MOMENT;
