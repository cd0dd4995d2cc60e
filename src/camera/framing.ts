import { degrees, radians } from '../math.js';
import type { Axis, PlanePoint, Projection, ProjectionParams, Ray } from '../projection/types.js';
import type { FovSide } from '../scene/types.js';
import type { Lens } from './types.js';

export interface FrameSize {
  readonly width: number;
  readonly height: number;
}

/** The frame's direction that `side` means in a frame of this size; horizontal for a square's. */
export function axisOf(side: FovSide, width: number, height: number): Axis {
  if (side === 'shorter') return width <= height ? 'horizontal' : 'vertical';
  if (side === 'longer') return width >= height ? 'horizontal' : 'vertical';
  return side;
}

/**
 * Frames `fov` degrees of the projection along a frame's side. `width` and `height` count only by
 * their ratio. Along the diagonal a corner lies fov / 2 off the view axis. The fov must be one of
 * which `fovProblem` finds nothing to say.
 */
export function frameLens(
  projection: Projection,
  params: ProjectionParams,
  fov: number,
  side: FovSide,
  width: number,
  height: number,
): Lens {
  const half = radians(fov) / 2;
  const axis = axisOf(side, width, height);
  const unit = unitOf(projection, params, half, axis, width, height);
  return { projection: projection.name, params, halfExtent: [unit * width, unit * height] };
}

/** Plane units for half a pixel's side, where `half` radians lie from the centre to the edge or corner. */
export function unitOf(
  projection: Projection,
  params: ProjectionParams,
  half: number,
  axis: Axis,
  width: number,
  height: number,
): number {
  if (axis === 'horizontal') return projection.extent(axis, half, params) / width;
  if (axis === 'vertical') return projection.extent(axis, half, params) / height;
  const diagonal = Math.hypot(width, height);
  if (projection.azimuthal) return projection.extent('horizontal', half, params) / diagonal;
  const corner: PlanePoint = [width / diagonal, height / diagonal];
  return cornerScale(projection, params, corner, half) / diagonal;
}

/**
 * The factor by which `corner` (at distance 1) comes to lie `half` off the view axis, by bisection
 * down to the last bit. Up to a right angle the corner's angle grows with the factor.
 */
function cornerScale(
  projection: Projection,
  params: ProjectionParams,
  corner: PlanePoint,
  half: number,
): number {
  const angleAt = (scale: number) =>
    halfAngleOf(projection.toRay([corner[0] * scale, corner[1] * scale], params).ray);
  let high = half;
  while (angleAt(high) < half && high < Number.MAX_SAFE_INTEGER) high *= 2;
  let low = 0;
  for (;;) {
    const middle = (low + high) / 2;
    if (middle <= low || middle >= high) return high;
    if (angleAt(middle) < half) low = middle;
    else high = middle;
  }
}

/** Radians from the view axis to a ray, 0 to pi. */
export const halfAngleOf = ([x, y, z]: Ray): number => Math.atan2(Math.hypot(x, y), 0 - z);

/** Radians. A fov equal to an exclusive limit but for rounding has no finite frame either. */
const ROUNDING = 1e-9;

/** What is wrong with `fov` degrees along a frame's side, in one sentence; undefined when nothing is. */
export function fovProblem(
  projection: Projection,
  params: ProjectionParams,
  fov: number,
  side: FovSide,
  width: number,
  height: number,
): string | undefined {
  const axis = axisOf(side, width, height);
  const { max, inclusive } = projection.fovLimit(axis, params);
  const angle = radians(fov);
  if (angle > 0 && (inclusive ? angle <= max : angle < max - ROUNDING)) return undefined;
  const most = `${inclusive ? 'at most' : 'less than'} ${plain(degrees(max))} degrees`;
  return `${projection.name} takes more than 0 and ${most}${where(projection, axis)}, found ${fov}`;
}

/** Said only where the projection's range is not the same all round. */
function where(projection: Projection, axis: Axis): string {
  if (projection.azimuthal) return '';
  return axis === 'diagonal' ? " along the frame's diagonal" : ` along the frame's ${axis} side`;
}

const plain = (value: number): string => String(Number(value.toFixed(4)));
