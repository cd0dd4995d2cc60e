import { orientationOf, rotationMatrix } from '../../../src/camera/orientation.js';
import { polarRowsOf } from '../../../src/master/level/polar.js';
import { resampleRows } from '../../../src/master/level/resample.js';
import { newSamples, type Pixels, pixels } from '../../../src/master/pixels.js';
import { degrees, radians } from '../../../src/math.js';
import type { Ray } from '../../../src/projection/types.js';

/** Degrees between two directions. */
export function apart(a: Ray, b: Ray): number {
  const cross = [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
  return degrees(Math.atan2(Math.hypot(...cross), a[0] * b[0] + a[1] * b[1] + a[2] * b[2]));
}

/** The direction `turn` degrees round an axis and `height` degrees above the great circle square to it. */
export function onCircle(axis: Ray, turn: number, height: number): Ray {
  const other: Ray = Math.abs(axis[1]) < 0.9 ? [0, 1, 0] : [1, 0, 0];
  const a = unit(cross(axis, other));
  const b = cross(axis, a);
  const [t, h] = [radians(turn), radians(height)];
  return [0, 1, 2].map(
    (c) => Math.cos(h) * (Math.cos(t) * a[c]! + Math.sin(t) * b[c]!) + Math.sin(h) * axis[c]!,
  ) as unknown as Ray;
}

const cross = (a: Ray, b: Ray): Ray => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];

const unit = (ray: Ray): Ray => {
  const length = Math.hypot(...ray);
  return [ray[0] / length, ray[1] / length, ray[2] / length];
};

/** Numbers from 0 to 1, the same for the same seed (a linear congruential generator: Numerical Recipes). */
export function noise(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

export const rotation = (yaw: number, pitch: number, roll: number): number[] =>
  rotationMatrix(orientationOf(yaw, pitch, roll));

/** The turn that undoes a turn. */
export const transposed = (m: readonly number[]): number[] =>
  [0, 3, 6, 1, 4, 7, 2, 5, 8].map((i) => m[i]!);

export function times(m: readonly number[], [x, y, z]: Ray): Ray {
  const row = (r: number) => m[r]! * x + m[r + 3]! * y + m[r + 6]! * z;
  return [row(0), row(1), row(2)];
}

/** As `levelMaster` turns; `plain` reads the texels next to the poles too, never averages of them. */
export function turned(picture: Pixels, by: readonly number[], plain = false): Pixels {
  const { width, height, depth } = picture;
  const out = newSamples(depth, picture.data.length);
  const polar = plain ? [] : polarRowsOf(picture);
  resampleRows({ ...picture, polar }, by, 0, height, out);
  return pixels(width, height, out);
}

/** Decibels between two pictures of one depth, each row counted by how much of the sphere it holds. */
export function psnr(a: Pixels, b: Pixels): number {
  const most = 2 ** a.depth - 1;
  let [sum, all] = [0, 0];
  const row = a.width * 3;
  for (let i = 0; i < a.data.length; i++) {
    const weight = Math.sin(((Math.floor(i / row) + 0.5) / a.height) * Math.PI);
    sum += weight * (a.data[i]! - b.data[i]!) ** 2;
    all += weight;
  }
  return 10 * Math.log10((most * most * all) / Math.max(sum, 1e-12));
}
