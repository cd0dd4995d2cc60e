import type { Ray } from './types.js';

/** Radians, -pi to pi, to the right. The poles lie at longitude 0 or pi. */
export const longitudeOf = ([x, , z]: Ray): number => Math.atan2(x, 0 - z);

/** Radians, -pi/2 to pi/2, upward. */
export const latitudeOf = ([x, y, z]: Ray): number => Math.atan2(y, Math.hypot(x, z));

export function rayAt(longitude: number, latitude: number): Ray {
  const level = Math.cos(latitude);
  return [level * Math.sin(longitude), Math.sin(latitude), -level * Math.cos(longitude)];
}
