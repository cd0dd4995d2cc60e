import { asinClamped, radians } from '../../../math.js';
import type { Ray } from '../../../projection/types.js';

export interface CircleFit {
  /** The circle's axis, its y positive. */
  readonly zenith: Ray;
  /** Radians that the circle lies above the great circle square to the axis. */
  readonly height: number;
  /** Radians: 1.4826 times the median distance from the circle. */
  readonly spread: number;
}

const STEPS = 30;
/** Points farther from the circle than so many spreads count for nothing. */
const CUT = 3;
/** Trees and hills stand above a horizon, nothing below: points above it count less. */
const ABOVE = 0.35;
const LEAST_SPREAD = radians(0.3);

/**
 * The circle, of constant height above the horizon of its axis, that suits rays of a skyline best:
 * Tukey's biweight M-estimator (Beaton, Tukey, Technometrics 16, 1974), heavier below than above.
 */
export function fitCircle(rays: readonly Ray[]): CircleFit {
  let weights = new Float64Array(rays.length).fill(1);
  let fit = solve(rays, weights);
  for (let step = 0; step < STEPS; step++) {
    const { axis, offset } = fit;
    const off = rays.map(([x, y, z]) => x * axis[0] + y * axis[1] + z * axis[2] - offset);
    const spread = Math.max(LEAST_SPREAD, spreadOf(off));
    weights = Float64Array.from(off, (distance) => {
      const u = distance / (CUT * spread);
      return Math.abs(u) >= 1 ? 1e-9 : (1 - u * u) ** 2 * (distance > 0 ? ABOVE : 1 - ABOVE);
    });
    fit = solve(rays, weights);
  }
  const { axis, offset } = fit;
  const off = rays.map(([x, y, z]) => x * axis[0] + y * axis[1] + z * axis[2] - offset);
  return { zenith: axis, height: asinClamped(offset), spread: spreadOf(off) };
}

function spreadOf(off: readonly number[]): number {
  const sizes = off.map(Math.abs).sort((a, b) => a - b);
  return 1.4826 * (sizes[sizes.length >> 1] ?? 0);
}

/** Least squares of y + a x + b z = s over the rays, by Cramer's rule about their means. */
function solve(rays: readonly Ray[], weights: Float64Array): { axis: Ray; offset: number } {
  let [sum, mx, my, mz] = [0, 0, 0, 0];
  for (const [i, [x, y, z]] of rays.entries()) {
    const w = weights[i]!;
    sum += w;
    mx += w * x;
    my += w * y;
    mz += w * z;
  }
  [mx, my, mz] = [mx / sum, my / sum, mz / sum];
  let [xx, xz, zz, xy, zy] = [1e-12, 0, 1e-12, 0, 0];
  for (const [i, ray] of rays.entries()) {
    const w = weights[i]!;
    const [x, y, z] = [ray[0] - mx, ray[1] - my, ray[2] - mz];
    xx += w * x * x;
    xz += w * x * z;
    zz += w * z * z;
    xy += w * x * y;
    zy += w * z * y;
  }
  const determinant = xx * zz - xz * xz;
  const a = (zy * xz - xy * zz) / determinant;
  const b = (xy * xz - zy * xx) / determinant;
  const length = Math.hypot(a, 1, b);
  return {
    axis: [a / length, 1 / length, b / length],
    offset: (my + a * mx + b * mz) / length,
  };
}
