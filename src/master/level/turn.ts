import { quat } from 'gl-matrix';
import { type Angles, anglesOf, orientationOf, rotationMatrix } from '../../camera/orientation.js';
import type { Orientation } from '../../camera/types.js';
import { acosClamped, asinClamped, degrees, wrapped } from '../../math.js';
import type { Ray } from '../../projection/types.js';
import type { Lean } from './types.js';

type Four = [number, number, number, number];

/** No turn at all. */
export const UNTURNED: Orientation = [0, 0, 0, 1];

/** One turn after another: the right one comes first. */
export function compose(left: Orientation, right: Orientation): Orientation {
  const out: Four = [0, 0, 0, 1];
  return quat.multiply(out, left as Four, right as Four) as unknown as Orientation;
}

function inverse(turn: Orientation): Orientation {
  const out: Four = [0, 0, 0, 1];
  return quat.conjugate(out, turn as Four) as unknown as Orientation;
}

/** How the camera stood, given where the true zenith lies in its picture. */
export function leanOf([x, y, z]: Ray): Lean {
  return { pitch: degrees(asinClamped(-z)), roll: degrees(Math.atan2(-x, y)) };
}

/** Where the true zenith lies in the picture of a camera that stood so. */
export function zenithOf({ pitch, roll }: Lean): Ray {
  const m = rotationMatrix(orientationOf(0, pitch, roll));
  // The middle row: what the inverse makes of (0, 1, 0).
  return [m[1]!, m[4]!, m[7]!];
}

/** The angle in degrees that a lean amounts to. */
export const tiltOf = (lean: Lean): number => degrees(acosClamped(zenithOf(lean)[1]));

/**
 * The turn that undoes a lean. The picture's centre stays above the same point of the compass, so a
 * heading that was known stays true.
 */
export const upright = ({ pitch, roll }: Lean): Orientation =>
  inverse(orientationOf(0, pitch, roll));

/** The turn of a level sphere that brings north to its centre, which faced `heading`. */
export const northward = (heading: number): Orientation => orientationOf(-heading, 0, 0);

export interface Pose extends Lean {
  readonly heading?: number;
}

/** The pose of the turned picture, from that of the picture before. */
export function poseAfter(before: Pose, turn: Orientation): Pose {
  const stood = orientationOf(before.heading ?? 0, before.pitch, before.roll);
  const { yaw, pitch, roll } = tidied(anglesOf(compose(stood, turn)));
  return before.heading === undefined
    ? { pitch, roll }
    : { heading: wrapped(yaw, 360), pitch, roll };
}

/** Without the last bits of rounding, and without -0. */
export function tidied({ yaw, pitch, roll }: Angles): Angles {
  const tidy = (angle: number) => Math.round(angle * 1e6) / 1e6 + 0;
  return { yaw: tidy(yaw), pitch: tidy(pitch), roll: tidy(roll) };
}

export const turnAngles = (turn: Orientation): Angles => tidied(anglesOf(turn));
