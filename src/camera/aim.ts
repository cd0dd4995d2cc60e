import { asinClamped, degrees, HALF_PI, radians } from '../math.js';
import { blendRays } from '../projection/blend.js';
import { findLens } from '../projection/index.js';
import { type Landing, OUTSIDE, type PlanePoint, type Ray } from '../projection/types.js';
import type { Camera, Lens } from './types.js';

/** A place in the frame as shares of its width from the left and of its height from the top. */
export type Place = readonly [x: number, y: number];

/** What of a camera does not depend on where it looks. */
export type Framing = Pick<Camera, 'lenses' | 'mix'>;

export interface Aim {
  /** Degrees. */
  readonly yaw: number;
  /** Degrees from -180 to 180: beyond 90 the camera leans over the top. */
  readonly pitch: number;
}

/**
 * Why a direction cannot be had at a place: the projection shows nothing there, or the roll leaves no
 * yaw and pitch that lead there (what is straight up can only lie above or below the frame's centre).
 */
export type NoAim = 'no-picture' | 'out-of-reach';

/** The world direction (a unit vector) that lies `yaw` right of the master's centre and `pitch` up. */
export function directionOf(yaw: number, pitch: number): Ray {
  const [lon, lat] = [radians(yaw), radians(pitch)];
  return [Math.sin(lon) * Math.cos(lat), Math.sin(lat), -Math.cos(lon) * Math.cos(lat)];
}

const pointAt = ({ halfExtent: [x, y] }: Lens, place: Place): PlanePoint => [
  (2 * place[0] - 1) * x,
  (1 - 2 * place[1]) * y,
];

const placeOf = ({ halfExtent: [x, y] }: Lens, point: PlanePoint): Place => [
  (point[0] / x + 1) / 2,
  (1 - point[1] / y) / 2,
];

/** What shows at a place of the frame, in camera space. */
export function landingAt({ lenses, mix: share }: Framing, place: Place): Landing {
  const [start, end] = lenses.map((lens) =>
    findLens(lens.projection).toRay(pointAt(lens, place), lens.params),
  );
  return end === undefined ? start! : blendRays(start!, end, share);
}

/**
 * Yaw and pitch with which `direction` (a unit vector of the world) lies at `place` in the frame, at the
 * given roll in degrees: of the two pitches that do, the one nearer to level. The yaw is the one nearest
 * to `near`, in degrees; for straight up or down, where any will do, `near` itself.
 */
export function aimAt(
  direction: Ray,
  place: Place,
  framing: Framing,
  { roll = 0, near = 0 }: { readonly roll?: number; readonly near?: number } = {},
): Aim | NoAim {
  const { inside, ray } = landingAt(framing, place);
  if (!inside) return 'no-picture';
  // Turned by the roll first; then the pitch has to bring it to the direction's height.
  const [sin, cos] = [Math.sin(radians(roll)), Math.cos(radians(roll))];
  const [x, y, z] = [ray[0] * cos + ray[1] * sin, ray[1] * cos - ray[0] * sin, ray[2]];
  const reach = Math.hypot(y, z);
  if (Math.abs(direction[1]) > reach + 1e-12) return 'out-of-reach';
  const rise = reach === 0 ? 0 : asinClamped(direction[1] / reach);
  const own = Math.atan2(y, 0 - z);
  const pitches = [rise - own, 2 * HALF_PI - rise - own].map((angle) =>
    nearest(degrees(angle), 360, 0),
  );
  const pitch = Math.abs(pitches[1]!) < Math.abs(pitches[0]!) - 1e-9 ? pitches[1]! : pitches[0]!;
  if (Math.hypot(direction[0], direction[2]) < 1e-12) return { yaw: near, pitch };
  const tilted = y * Math.sin(radians(pitch)) + z * Math.cos(radians(pitch));
  const yaw = Math.atan2(direction[0], 0 - direction[2]) - Math.atan2(x, 0 - tilted);
  return { yaw: nearest(degrees(yaw), 360, near), pitch };
}

/** `value` plus as many whole `step`s as bring it nearest to `near`. */
export const nearest = (value: number, step: number, near: number): number =>
  value - step * Math.round((value - near) / step);

/** Enough for a blend of two lenses to settle; one lens needs none. */
const MOST_STEPS = 40;
const SETTLED = 1e-10;

/**
 * Where a direction of the world shows, be it within the frame or beyond its edges; undefined where the
 * projection has no picture of it. The inverse of a blend of two lenses is found by Newton's steps.
 */
export function placeIn(camera: Camera, direction: Ray): Place | undefined {
  const ray = inCamera(camera, direction);
  const places = camera.lenses.flatMap((lens) => {
    const point = findLens(lens.projection).toPlane(ray, lens.params);
    return point === OUTSIDE ? [] : [placeOf(lens, point)];
  });
  const [start, end] = places;
  if (start === undefined || camera.lenses.length === 1) return start;
  const share = end === undefined ? 0 : camera.mix;
  const between = (side: 0 | 1) => start[side] * (1 - share) + (end ?? start)[side] * share;
  return settled(camera, ray, [between(0), between(1)]);
}

/** The inverse of the camera's rotation, which is its transpose. */
function inCamera({ rotation: m }: Camera, [x, y, z]: Ray): Ray {
  const row = (column: number) =>
    m[3 * column]! * x + m[3 * column + 1]! * y + m[3 * column + 2]! * z;
  return [row(0), row(1), row(2)];
}

function settled(framing: Framing, ray: Ray, guess: Place): Place | undefined {
  const axes = squareTo(ray);
  /** How far the ray at a place is off, along two axes; straight behind counts as far. */
  const missAt = (place: Place): readonly [number, number] => {
    const landing = landingAt(framing, place).ray;
    const ahead = 1 + dot(landing, ray);
    return [dot(landing, axes[0]) / ahead, dot(landing, axes[1]) / ahead];
  };
  const length = ([x, y]: readonly number[]) => Math.hypot(x!, y!);
  const STEP = 1e-6;
  let place = guess;
  let miss = missAt(place);
  for (let step = 0; step < MOST_STEPS && length(miss) > SETTLED; step++) {
    const [right, down] = [
      missAt([place[0] + STEP, place[1]]),
      missAt([place[0], place[1] + STEP]),
    ].map((other) => [(other[0] - miss[0]) / STEP, (other[1] - miss[1]) / STEP] as const);
    const area = right![0] * down![1] - right![1] * down![0];
    const across = (miss[0] * down![1] - miss[1] * down![0]) / area;
    const along = (right![0] * miss[1] - right![1] * miss[0]) / area;
    let part = 1;
    const moved = (): Place => [place[0] - part * across, place[1] - part * along];
    while (part > 1e-4 && !(length(missAt(moved())) < length(miss))) part /= 2;
    if (part <= 1e-4) break;
    place = moved();
    miss = missAt(place);
  }
  return length(miss) < 1e-7 && landingAt(framing, place).inside ? place : undefined;
}

const dot = (a: Ray, b: Ray): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

export const cross = (a: Ray, b: Ray): Ray => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];

function squareTo(ray: Ray): readonly [Ray, Ray] {
  const other: Ray = Math.abs(ray[1]) < 0.9 ? [0, 1, 0] : [1, 0, 0];
  const side = cross(ray, other);
  const size = Math.hypot(...side);
  const first: Ray = [side[0] / size, side[1] / size, side[2] / size];
  return [first, cross(ray, first)];
}
