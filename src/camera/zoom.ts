import { degrees, mix, radians } from '../math.js';
import { findLens } from '../projection/index.js';
import type { Axis, PlanePoint, Projection, ProjectionParams } from '../projection/types.js';
import { axisOf, type FrameSize, halfAngleOf, unitOf } from './framing.js';
import type { FieldOfView, ProjectionChoice } from './types.js';

/** What a field of view is measured by: a projection, and a side of a frame. */
export interface Measure {
  readonly projection: Projection;
  readonly params: ProjectionParams;
  readonly axis: Axis;
  readonly frame: FrameSize;
}

/**
 * The part of a projection's range up to which zooming goes by the picture's scale alone. Near a limit
 * the scale grows without end (rectilinear) or stands still (mirror ball), and beyond it there is none.
 */
const EVEN_UP_TO = 0.8;

/** Degrees to either side, for a derivative. */
const STEP = 1e-3;

const logOfScale = ({ projection, params, axis, frame }: Measure, fov: number): number =>
  Math.log(unitOf(projection, params, radians(fov) / 2, axis, frame.width, frame.height));

/** Where the logarithm of the scale goes over into its own tangent: degrees, its value and slope there. */
function kneeOf(measure: Measure) {
  const { projection, params, axis } = measure;
  const fov = EVEN_UP_TO * degrees(projection.fovLimit(axis, params).max);
  const [before, after] = [logOfScale(measure, fov - STEP), logOfScale(measure, fov + STEP)];
  return { fov, zoom: logOfScale(measure, fov), slope: (after - before) / (2 * STEP) };
}

/**
 * How far out a field of view of `fov` degrees (more than 0) is zoomed: the natural logarithm of the
 * plane units that a pixel takes up, so that equal steps are equal ratios of the picture's scale.
 * Defined beyond the projection's range too, so that a fov may come from or go to where another
 * projection is in force.
 */
export function zoomOf(measure: Measure, fov: number): number {
  const knee = kneeOf(measure);
  return fov <= knee.fov ? logOfScale(measure, fov) : knee.zoom + (fov - knee.fov) * knee.slope;
}

/** `zoomOf` for a field of view of a scene. */
export function zoomOfView(
  { name, params }: ProjectionChoice,
  { degrees, side }: FieldOfView,
  frame: FrameSize,
): number {
  const axis = axisOf(side, frame.width, frame.height);
  return zoomOf({ projection: findLens(name), params, axis, frame }, degrees);
}

/** The inverse of \`zoomOf\`: degrees. */
function fovAt(measure: Measure, zoom: number): number {
  const knee = kneeOf(measure);
  if (zoom > knee.zoom) return knee.fov + (zoom - knee.zoom) / knee.slope;
  const { projection, params, axis, frame } = measure;
  const edge = edgeOf(axis, frame, Math.exp(zoom));
  return 2 * degrees(halfAngleOf(projection.toRay(edge, params).ray));
}

/** The middle of the frame's edge, or its corner, where a half pixel's side is `unit` long. */
const edgeOf = (axis: Axis, { width, height }: FrameSize, unit: number): PlanePoint => [
  axis === 'vertical' ? 0 : unit * width,
  axis === 'horizontal' ? 0 : unit * height,
];

/**
 * The field of view `share` of the way from one to another (degrees along the same side): even steps of
 * the share look like even zooming. A share beyond 0 to 1 may lead out of the projection's range.
 */
export function zoomed(measure: Measure, from: number, to: number, share: number): number {
  if (share === 0 || from === to) return from;
  if (share === 1) return to;
  return fovAt(measure, mix(zoomOf(measure, from), zoomOf(measure, to), share));
}
