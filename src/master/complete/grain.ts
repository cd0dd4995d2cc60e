import { latticeHash } from './random.js';

/** The grain of a picture: its spread per channel, how channels go together, and its size. */
export interface Grain {
  /** Lower triangle of the Cholesky factor of the channels' covariance, 8-bit code values. */
  readonly factor: readonly [number, number, number, number, number, number];
  /** Standard deviation of luma, 8-bit code values. */
  readonly sigma: number;
  /** Distance in canvas pixels over which the grain stays alike, 1 or more. */
  readonly step: number;
}

export const NO_GRAIN: Grain = { factor: [0, 0, 0, 0, 0, 0], sigma: 0, step: 1 };

/** Sum of four bytes of a hash, centred and scaled to standard deviation 1: close to normal. */
function normal(x: number, y: number, seed: number): number {
  const h = latticeHash(x, y, seed);
  return ((h & 255) + ((h >>> 8) & 255) + ((h >>> 16) & 255) + (h >>> 24) - 510) / 147.8;
}

const white = new Float64Array(3);

/** Adds grain at plane position (x, y), in canvas pixels, to out[0..2]; the same wherever asked from. */
export function addGrain(
  grain: Grain,
  x: number,
  y: number,
  seed: number,
  out: Float64Array,
): void {
  if (grain.sigma === 0) return;
  const gx = x / grain.step;
  const gy = y / grain.step;
  const x0 = Math.floor(gx);
  const y0 = Math.floor(gy);
  const fx = gx - x0;
  const fy = gy - y0;
  const w = [(1 - fx) * (1 - fy), fx * (1 - fy), (1 - fx) * fy, fx * fy];
  const level = 1 / Math.hypot(w[0]!, w[1]!, w[2]!, w[3]!);
  for (let c = 0; c < 3; c++) {
    const s = seed + 7919 * c;
    white[c] =
      level *
      (w[0]! * normal(x0, y0, s) +
        w[1]! * normal(x0 + 1, y0, s) +
        w[2]! * normal(x0, y0 + 1, s) +
        w[3]! * normal(x0 + 1, y0 + 1, s));
  }
  const f = grain.factor;
  out[0]! += f[0] * white[0]!;
  out[1]! += f[1] * white[0]! + f[2] * white[1]!;
  out[2]! += f[3] * white[0]! + f[4] * white[1]! + f[5] * white[2]!;
}
