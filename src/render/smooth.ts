import type { Nine, Survey } from './survey.js';

/** A block that spans more of the master's width lies on the seam or round a pole. */
const WIDEST = 0.3;
/** So near the seam, as a part of the master, a place in 32 bits may come out on its other side. */
const SEAM = 1e-5;

/** Halves of a block that differ less say enough of it. */
const STEADY = 1.05;

export const isBroad = (low: number, high: number): boolean => high - low > WIDEST;

/**
 * By how many pixels, at most, a block would be off if only its corners were right and all between them
 * interpolated over two triangles; infinite where it is not wholly within the picture, or lies on the seam or
 * round a pole. In a mesh of n by n cells it is n^2 times less.
 *
 * A quadratic is off most in the middle of a triangle's side.
 */
export function bendOf(survey: Survey, block: number): number {
  const { inside, u, v } = survey;
  const points = survey.points[block]!;
  let [left, right, nearest] = [1, 0, 0.5];
  // Several hundred blocks for each frame: no arrays of their own.
  for (const point of points) {
    if (inside[point] === 0) return Number.POSITIVE_INFINITY;
    left = Math.min(left, u[point]!);
    right = Math.max(right, u[point]!);
    nearest = Math.min(nearest, Math.abs(v[point]! - 0.5));
  }
  const reach = SEAM + (right - left) / 2;
  if (isBroad(left, right) || left < reach || right > 1 - reach) return Number.POSITIVE_INFINITY;
  // Rows keep their length towards the poles, and so hold ever less angle.
  const across = strayOf(u, points) * 2 * Math.PI * Math.cos(Math.PI * nearest);
  const down = strayOf(v, points) * Math.PI;
  // Near a ball's rim the picture bends ever more within a block: its second differences tell too little.
  const growing = Math.max(1, survey.unevenness[block]! / STEADY) ** 6;
  return Math.hypot(across, down) * survey.finer[block]! * growing;
}

/** How far the values at a block's points stray from what is interpolated between the outermost four. */
function strayOf(values: Float64Array, [a, b, c, d, e, f, g, h, i]: Nine): number {
  return Math.max(
    most(second(values, a, b, c), second(values, d, e, f), second(values, g, h, i)),
    most(second(values, a, d, g), second(values, b, e, h), second(values, c, f, i)),
    // The mesh's diagonals run from the top right to the bottom left.
    second(values, c, e, g),
  );
}

const second = (values: Float64Array, one: number, two: number, three: number): number =>
  Math.abs(values[one]! - 2 * values[two]! + values[three]!) / 2;

/** How differently a block's lines bend tells how much more than any of them it may in between. */
const most = (a: number, b: number, c: number): number => 2 * Math.max(a, b, c) - Math.min(a, b, c);
