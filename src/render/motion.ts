import type { Camera } from '../camera/types.js';
import { clamp } from '../math.js';
import type { Ray } from '../projection/types.js';
import type { Sampling } from './quality.js';
import { directionAt, distance, finestInView, placesOf, resolutionAt } from './resolution.js';

export interface Shutter {
  readonly fps: number;
  /** Degrees: 360 is open as long as a frame lasts, 0 only for an instant. */
  readonly angle: number;
}

/** Pixels; what moves less while the shutter is open is not blurred. */
const STILL = 0.1;

/**
 * The cameras whose frames, averaged, are the frame of the instant `time` (seconds): evenly spread over
 * the exposure, which is centred on it, and as many as the picture's motion in that time asks for.
 */
export function exposuresOf(
  cameraAt: (seconds: number) => Camera,
  time: number,
  { fps, angle }: Shutter,
  { exposuresPerPixel, leastExposures, mostExposures }: Sampling,
  width: number,
  height: number,
): readonly Camera[] {
  const open = angle / 360 / fps;
  const instant = (share: number) => cameraAt(time + (share - 0.5) * open);
  const moved = open === 0 ? 0 : motionBetween(instant(0), instant(1), width, height);
  const count =
    moved < STILL ? 1 : clamp(Math.ceil(moved * exposuresPerPixel), leastExposures, mostExposures);
  return Array.from({ length: count }, (_, index) => instant((index + 0.5) / count));
}

/** How far, in pixels, the picture moves at most between two cameras. */
function motionBetween(from: Camera, to: Camera, width: number, height: number): number {
  let most = ballMotion(from, to) * finestInView(to, width, height);
  for (const [x, y] of placesOf()) {
    const turned = distance(directionAt(from, x, y), directionAt(to, x, y));
    const finer = Math.max(
      resolutionAt(from, width, height, x, y).finer,
      resolutionAt(to, width, height, x, y).finer,
    );
    most = Math.max(most, turned * finer);
  }
  return most;
}

/** Radians by which the ball's rim moves at most, as the camera sees it. */
function ballMotion(from: Camera, to: Camera): number {
  if (from.ball === undefined || to.ball === undefined) return 0;
  const moved = distance(inCamera(from, from.ball.direction), inCamera(to, to.ball.direction));
  const grown = Math.asin(1 / to.ball.distance) - Math.asin(1 / from.ball.distance);
  return moved + Math.abs(grown);
}

/** A world direction in camera space: the rotation's transpose. */
function inCamera({ rotation: m }: Camera, [x, y, z]: Ray): Ray {
  const part = (column: number) =>
    m[3 * column]! * x + m[3 * column + 1]! * y + m[3 * column + 2]! * z;
  return [part(0), part(1), part(2)];
}
