import { leastStretch } from '../camera/ball.js';
import type { Camera, Lens } from '../camera/types.js';
import { blendRays } from '../projection/blend.js';
import { findLens } from '../projection/index.js';
import type { Ray } from '../projection/types.js';

/** Points across and down a frame at which its resolution is taken. */
const GRID = 9;

/** Far less than a pixel: the step over which a direction's change is taken, as a part of the frame. */
const STEP = 1e-5;

/** World direction in which a place of the frame looks, whatever hovers there; both coordinates -1 to 1, +y up. */
export function directionAt(camera: Camera, x: number, y: number): Ray {
  return turned(camera, landingAt(camera, x, y).ray);
}

/** A direction of camera space in the world. */
export function turned({ rotation: m }: Pick<Camera, 'rotation'>, [a, b, c]: Ray): Ray {
  return [
    m[0]! * a + m[3]! * b + m[6]! * c,
    m[1]! * a + m[4]! * b + m[7]! * c,
    m[2]! * a + m[5]! * b + m[8]! * c,
  ];
}

/** The same in camera space, and the share of the picture there: 1 within both ends of a morph. */
export function landingAt(
  { lenses, mix }: Pick<Camera, 'lenses' | 'mix'>,
  x: number,
  y: number,
): { readonly ray: Ray; readonly coverage: number } {
  const land = (lens: Lens) =>
    findLens(lens.projection).toRay([x * lens.halfExtent[0], y * lens.halfExtent[1]], lens.params);
  const [from, to] = lenses;
  const start = land(from);
  if (to !== undefined) return blendRays(start, land(to), mix);
  return { ray: start.ray, coverage: Number(start.inside) };
}

/** Places evenly spread over a frame, edges and centre included; each coordinate -1 to 1. */
export function* placesOf(): Iterable<readonly [x: number, y: number]> {
  for (let i = 0; i < GRID * GRID; i++) {
    yield [(2 * (i % GRID)) / (GRID - 1) - 1, (2 * Math.floor(i / GRID)) / (GRID - 1) - 1];
  }
}

/** Pixels a radian that a frame spends on the scene at one place. */
export interface Resolution {
  /** Along that side of the pixel that spans less of the scene, and more. */
  readonly finer: number;
  readonly coarser: number;
}

export function resolutionAt(
  camera: Camera,
  width: number,
  height: number,
  x: number,
  y: number,
): Resolution {
  const here = directionAt(camera, x, y);
  // Steps go inwards, so that they stay in the frame.
  const perPixel = (dx: number, dy: number, pixels: number) => {
    const turned = distance(here, directionAt(camera, x + dx, y + dy));
    return turned === 0 ? 0 : (STEP * pixels) / 2 / turned;
  };
  const across = perPixel(x > 0 ? -STEP : STEP, 0, width);
  const down = perPixel(0, y > 0 ? -STEP : STEP, height);
  return { finer: Math.max(across, down), coarser: Math.min(across, down) };
}

/** What a near glass ball enlarges beyond this counts no more: there it shows next to nothing. */
const MOST_ENLARGED = 4;

/**
 * The finest of a frame's resolutions, in pixels a radian of the master. Beyond a mirror-ball projection's
 * rim there is none; a near glass ball enlarges what lies behind it.
 */
export function finestResolution(camera: Camera, width: number, height: number): number {
  const stretch = camera.ball === undefined ? 1 : leastStretch(camera.ball);
  return finestInView(camera, width, height) / Math.max(stretch, 1 / MOST_ENLARGED);
}

/** The same of the view alone. */
export function finestInView(camera: Camera, width: number, height: number): number {
  let finest = 0;
  for (const [x, y] of placesOf()) {
    finest = Math.max(finest, resolutionAt(camera, width, height, x, y).finer);
  }
  return finest;
}

/** Radians between two unit vectors. */
export const angle = (a: Ray, b: Ray): number => 2 * Math.asin(Math.min(1, distance(a, b) / 2));

export const distance = (a: Ray, b: Ray): number =>
  Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
