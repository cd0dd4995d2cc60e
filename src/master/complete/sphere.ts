import { asinClamped, TAU } from '../../math.js';

/** A unit vector in world axes: +x right, +y up, -z at the master's centre. */
export type Direction = readonly [x: number, y: number, z: number];

/** Longitude and latitude in radians to a unit vector. */
export function direction(longitude: number, latitude: number): Direction {
  const c = Math.cos(latitude);
  return [c * Math.sin(longitude), Math.sin(latitude), -c * Math.cos(longitude)];
}

export function longitudeOf(d: Direction): number {
  return Math.atan2(d[0], -d[2]);
}

export function latitudeOf(d: Direction): number {
  return asinClamped(d[1]);
}

export function dot(a: Direction, b: Direction): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

/** The angle between two unit vectors in radians, exact also where it is small. */
export function angleBetween(a: Direction, b: Direction): number {
  const [x, y, z] = cross(a, b);
  return Math.atan2(Math.hypot(x, y, z), dot(a, b));
}

export function cross(a: Direction, b: Direction): Direction {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

export function unit(v: Direction): Direction {
  const length = Math.hypot(v[0], v[1], v[2]);
  return [v[0] / length, v[1] / length, v[2] / length];
}

export const opposite = (v: Direction): Direction => [-v[0], -v[1], -v[2]];

/** The place on the great circle with this pole that lies nearest to a direction. */
export function ontoCircle(pole: Direction, d: Direction): Direction {
  const off = dot(d, pole);
  return unit([d[0] - off * pole[0], d[1] - off * pole[1], d[2] - off * pole[2]]);
}

/** Sines and cosines of every column's longitude and row's latitude, at pixel centres. */
export interface Grid {
  readonly sinLongitude: Float64Array;
  readonly cosLongitude: Float64Array;
  readonly sinLatitude: Float64Array;
  readonly cosLatitude: Float64Array;
}

export function grid(width: number, height: number): Grid {
  const column = (f: (angle: number) => number) =>
    Float64Array.from({ length: width }, (_, i) => f(((i + 0.5) / width - 0.5) * TAU));
  const row = (f: (angle: number) => number) =>
    Float64Array.from({ length: height }, (_, j) => f((0.5 - (j + 0.5) / height) * Math.PI));
  return {
    sinLongitude: column(Math.sin),
    cosLongitude: column(Math.cos),
    sinLatitude: row(Math.sin),
    cosLatitude: row(Math.cos),
  };
}
