import type { Camera } from '../../camera/types.js';
import { degrees } from '../../math.js';
import { findLens } from '../../projection/index.js';
import type { Ray } from '../../projection/types.js';

/** A point of the canvas, each coordinate -1 to 1, +y up. */
export type Point = readonly [x: number, y: number];

function rayAt({ lenses: [{ projection, params, halfExtent }] }: Camera, [x, y]: Point): Ray {
  return findLens(projection).toRay([x * halfExtent[0], y * halfExtent[1]], params).ray;
}

const cross = ([a, b, c]: Ray, [x, y, z]: Ray): Ray => [
  b * z - c * y,
  c * x - a * z,
  a * y - b * x,
];
const dot = (a: Ray, b: Ray): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

/** Keeps a pull at what turns about itself, such as the zenith, from turning the view wildly. */
const CALM = 0.02;

/**
 * By how much to turn, in degrees, so that what was at one point of the canvas comes to lie at another:
 * the least squares of a small turn about the world's vertical and one about the canvas's horizontal.
 */
export function pull(camera: Camera, from: Point, to: Point): { yaw: number; pitch: number } {
  const [was, is] = [rayAt(camera, from), rayAt(camera, to)];
  const { rotation: m } = camera;
  const up: Ray = [m[1]!, m[4]!, m[7]!];
  const byPitch = cross([1, 0, 0], is);
  const byYaw = cross(up, is);
  const way: Ray = [was[0] - is[0], was[1] - is[1], was[2] - is[2]];
  const [aa, ab, bb] = [
    dot(byPitch, byPitch) + CALM,
    dot(byPitch, byYaw),
    dot(byYaw, byYaw) + CALM,
  ];
  const [a, b] = [dot(byPitch, way), dot(byYaw, way)];
  const whole = aa * bb - ab * ab;
  return { pitch: degrees((a * bb - b * ab) / whole), yaw: -degrees((b * aa - a * ab) / whole) };
}
