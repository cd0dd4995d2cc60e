import { mat3, quat } from 'gl-matrix';
import { degrees, radians } from '../math.js';
import type { Orientation } from './types.js';

// gl-matrix makes Float32Arrays of its own accord, so every result goes into a plain array given to it.
type Mutable = [number, number, number, number];

/**
 * Ry(-yaw) · Rx(pitch) · Rz(-roll), angles in degrees: roll about the view axis first, yaw last.
 * Positive yaw turns right, positive pitch looks up, positive roll turns the camera clockwise.
 */
export function orientationOf(yaw: number, pitch: number, roll: number): Orientation {
  const out: Mutable = [0, 0, 0, 1];
  quat.rotateY(out, out, radians(-yaw));
  quat.rotateX(out, out, radians(pitch));
  quat.rotateZ(out, out, radians(-roll));
  return out;
}

/** Along the shorter great circle (Shoemake, SIGGRAPH 1985). `share` may overshoot 0 to 1. */
export function slerpOrientation(from: Orientation, to: Orientation, share: number): Orientation {
  const out: Mutable = [0, 0, 0, 1];
  quat.slerp(out, from as Mutable, to as Mutable, share);
  quat.normalize(out, out);
  return out;
}

/** The angle of the one turn that leads from one orientation to the other, in radians from 0 to pi. */
export function angleBetween(a: Orientation, b: Orientation): number {
  const apart = Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2], a[3] - b[3]);
  const together = Math.hypot(a[0] + b[0], a[1] + b[1], a[2] + b[2], a[3] + b[3]);
  return 4 * Math.atan2(Math.min(apart, together), Math.max(apart, together));
}

/** The same between two rotations (3x3, column-major). */
export function angleOfRotations(a: readonly number[], b: readonly number[]): number {
  // Of their difference: |a - b|^2 = 8 sin^2(angle / 2), exact for small angles too.
  const apart = Math.hypot(...a.map((value, index) => value - b[index]!));
  return 2 * Math.asin(Math.min(1, apart / Math.sqrt(8)));
}

/** 3x3, column-major: world direction = matrix · camera-space direction. */
export function rotationMatrix(orientation: Orientation): number[] {
  const out = [1, 0, 0, 0, 1, 0, 0, 0, 1] as Parameters<typeof mat3.fromQuat>[0];
  return [...mat3.fromQuat(out, orientation as Mutable)];
}

export interface Angles {
  readonly yaw: number;
  readonly pitch: number;
  readonly roll: number;
}

/**
 * Degrees: yaw and roll from -180 to 180, pitch from -90 to 90. Looking straight up or down, yaw and
 * roll turn about the same axis: all of it counts as yaw.
 */
export function anglesOf(orientation: Orientation): Angles {
  const m = rotationMatrix(orientation);
  const at = (column: number, row: number) => m[3 * column + row]!;
  const [x, y, z] = [-at(2, 0), -at(2, 1), -at(2, 2)];
  const level = Math.hypot(x, z);
  const pitch = degrees(Math.atan2(y, level));
  if (level < 1e-9) return { yaw: degrees(Math.atan2(at(0, 2), at(0, 0))), pitch, roll: 0 };
  return {
    yaw: degrees(Math.atan2(x, -z)),
    pitch,
    roll: degrees(Math.atan2(-at(0, 1), at(1, 1))),
  };
}
