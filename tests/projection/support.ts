import { radians } from '../../src/math.js';
import { rayAt } from '../../src/projection/sphere.js';
import type { Ray } from '../../src/projection/types.js';

/** Repeatable numbers from 0 to 1 (mulberry32). */
export function randoms(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** `count` directions spread evenly over the sphere, as longitude and latitude in degrees. */
export function places(count: number, seed: number): [lon: number, lat: number][] {
  const next = randoms(seed);
  return Array.from({ length: count }, () => [
    next() * 360 - 180,
    (Math.asin(next() * 2 - 1) * 180) / Math.PI,
  ]);
}

export const rayTo = ([lon, lat]: readonly [number, number]): Ray =>
  rayAt(radians(lon), radians(lat));

/** The camera-space ray of a place on a globe that is seen with `centre` in front, north up. */
export function rayFrom(
  centre: readonly [lon: number, lat: number],
  [lon, lat]: readonly [lon: number, lat: number],
): Ray {
  const [x, y, z] = rayTo([lon - centre[0], lat]);
  const [sin, cos] = [Math.sin(radians(centre[1])), Math.cos(radians(centre[1]))];
  return [x, y * cos + z * sin, z * cos - y * sin];
}

/** Radians between two unit rays, exact for small angles too. */
export function angleBetween(a: Ray, b: Ray): number {
  const apart = Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
  const near = Math.hypot(a[0] + b[0], a[1] + b[1], a[2] + b[2]);
  return 2 * Math.atan2(apart, near);
}

/** Parameter sets under which each projection is tried: defaults, and Panini's range. */
export const paramSets = (name: string): Record<string, number>[] =>
  name === 'panini' || name === 'perspective'
    ? [0, 0.25, 0.5, 0.9, 1].map((distance) => ({ distance }))
    : [{}];
