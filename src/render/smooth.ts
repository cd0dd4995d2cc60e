import { pointsOf, type Survey } from './survey.js';

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
  const points = pointsOf(survey, block);
  if (points.some((at) => survey.inside[at] === 0)) return Number.POSITIVE_INFINITY;
  const us = points.map((at) => survey.u[at]!);
  const vs = points.map((at) => survey.v[at]!);
  const [left, right] = [Math.min(...us), Math.max(...us)];
  const reach = SEAM + (right - left) / 2;
  if (isBroad(left, right) || left < reach || right > 1 - reach) return Number.POSITIVE_INFINITY;
  // Rows keep their length towards the poles, and so hold ever less angle.
  const nearest = vs.reduce((best, v) => Math.min(best, Math.abs(v - 0.5)), 0.5);
  const across = strayOf(us) * 2 * Math.PI * Math.cos(Math.PI * nearest);
  const down = strayOf(vs) * Math.PI;
  // Near a ball's rim the picture bends ever more within a block: its second differences tell too little.
  const growing = Math.max(1, survey.unevenness[block]! / STEADY) ** 6;
  return Math.hypot(across, down) * survey.finer[block]! * growing;
}

/** How far nine values, row by row, stray from what is interpolated between the outermost four. */
function strayOf(values: readonly number[]): number {
  const [a, b, c, d, e, f, g, h, i] = values as Nine;
  const second = (one: number, two: number, three: number) => Math.abs(one - 2 * two + three) / 2;
  // How differently the block's lines bend tells how much more than any of them it may in between.
  const most = (...bends: number[]) => 2 * Math.max(...bends) - Math.min(...bends);
  return Math.max(
    most(second(a, b, c), second(d, e, f), second(g, h, i)),
    most(second(a, d, g), second(b, e, h), second(c, f, i)),
    // The mesh's diagonals run from the top right to the bottom left.
    second(c, e, g),
  );
}

type Nine = [number, number, number, number, number, number, number, number, number];
