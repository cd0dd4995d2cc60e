import type { Ray } from '../../projection/types.js';

/** A plane through the sphere's middle, closest to some directions. */
export interface CircleFit {
  /** Unit normal, its y positive. */
  readonly normal: Ray;
  /**
   * Mean squared sine of the directions' angles off the plane (`off`), and their mean squared sine off the
   * line in it that suits them best (`spread`): 0 where they all lie in one direction and its opposite.
   */
  readonly off: number;
  readonly spread: number;
}

/**
 * The great circle closest to `rays` by least squares of the sines of their angles off it: its normal is
 * the eigenvector to the smallest eigenvalue of the scatter matrix, the weighted sum of r r^T.
 * Source: Watson, "Equatorial Distributions on a Sphere", Biometrika 52 (1965); Fisher, Lewis, Embleton,
 * "Statistical Analysis of Spherical Data" (1987), ch. 6.
 */
export function fitGreatCircle(rays: readonly Ray[], weights?: ArrayLike<number>): CircleFit {
  const scatter = [0, 0, 0, 0, 0, 0, 0, 0, 0];
  let total = 0;
  for (const [index, ray] of rays.entries()) {
    const weight = weights?.[index] ?? 1;
    total += weight;
    for (let i = 0; i < 9; i++) scatter[i]! += weight * ray[(i / 3) | 0]! * ray[i % 3]!;
  }
  const [least, middle] = eigen(scatter.map((sum) => sum / total)) as [Eigen, Eigen, Eigen];
  const [x, y, z] = least.vector;
  const normal: Ray = y < 0 ? [-x, -y, -z] : [x, y, z];
  return { normal, off: Math.max(0, least.value), spread: Math.max(0, middle.value) };
}

interface Eigen {
  readonly value: number;
  readonly vector: Ray;
}

/**
 * Of a symmetric 3x3 matrix, smallest first, by Jacobi's rotations.
 * Source: Golub, Van Loan, "Matrix Computations", 4th ed. (2013), section 8.5.
 */
function eigen(matrix: readonly number[]): Eigen[] {
  const a = [...matrix];
  const v = [1, 0, 0, 0, 1, 0, 0, 0, 1];
  for (let sweep = 0; sweep < 30; sweep++) {
    if (Math.abs(a[1]!) + Math.abs(a[2]!) + Math.abs(a[5]!) < 1e-18) break;
    for (const [p, q] of [
      [0, 1],
      [0, 2],
      [1, 2],
    ] as const) {
      rotate(a, v, p, q);
    }
  }
  return [0, 1, 2]
    .map((i): Eigen => ({ value: a[4 * i]!, vector: [v[i]!, v[3 + i]!, v[6 + i]!] }))
    .sort((one, other) => one.value - other.value);
}

/** Turns in the plane of p and q so that a's element there becomes 0. */
function rotate(a: number[], v: number[], p: number, q: number): void {
  const off = a[3 * p + q]!;
  if (Math.abs(off) < 1e-300) return;
  const theta = (a[4 * q]! - a[4 * p]!) / (2 * off);
  const t = (theta < 0 ? -1 : 1) / (Math.abs(theta) + Math.hypot(theta, 1));
  const c = 1 / Math.hypot(t, 1);
  const s = t * c;
  for (let k = 0; k < 3; k++) turnPair(a, 3 * k + p, 3 * k + q, c, s);
  for (let k = 0; k < 3; k++) turnPair(a, 3 * p + k, 3 * q + k, c, s);
  for (let k = 0; k < 3; k++) turnPair(v, 3 * k + p, 3 * k + q, c, s);
}

function turnPair(m: number[], i: number, j: number, c: number, s: number): void {
  const [x, y] = [m[i]!, m[j]!];
  m[i] = c * x - s * y;
  m[j] = s * x + c * y;
}
