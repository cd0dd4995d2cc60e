import { degrees } from '../math.js';
import type { Axis, Projection, ProjectionParams } from '../projection/types.js';
import { axisOf, type FrameSize } from './framing.js';
import type { Blend, FieldOfView } from './types.js';
import { zoomed } from './zoom.js';

/** One fov of a blend: along which axis of the frame, and with which weight. */
export interface Span {
  readonly degrees: number;
  readonly axis: Axis;
  readonly weight: number;
}

/**
 * What a blend of fovs asks of a projection in a frame: one span where both are measured along the same
 * side, zoomed evenly from the one to the other; else two, whose plane scales are to be mixed
 * geometrically, which zooms evenly too. It may be more than the projection can take.
 */
export function spansOf(
  projection: Projection,
  params: ProjectionParams,
  fov: Blend<FieldOfView>,
  frame: FrameSize,
): readonly Span[] {
  const axes = [fov.from, fov.to].map(({ side }) => axisOf(side, frame.width, frame.height));
  const [from, to] = [
    { degrees: fov.from.degrees, axis: axes[0]!, weight: 1 - fov.mix },
    { degrees: fov.to.degrees, axis: axes[1]!, weight: fov.mix },
  ];
  if (fov.mix === 0) return [from];
  if (fov.mix === 1) return [to];
  if (from.axis !== to.axis) return [from, to];
  const { axis } = from;
  const between = zoomed({ projection, params, axis, frame }, from.degrees, to.degrees, fov.mix);
  return [{ degrees: between, axis, weight: 1 }];
}

/** Degrees kept from an exclusive limit, and the least fov: an easing that overshoots ends there. */
const EDGE = 1e-4;
const LEAST = 1e-4;

const mostOf = (projection: Projection, params: ProjectionParams, axis: Axis): number => {
  const { max, inclusive } = projection.fovLimit(axis, params);
  return inclusive ? degrees(max) : degrees(max) - EDGE;
};

/**
 * `fov` degrees as the projection can take them: unchanged up to `kept` (0 to 1) of its range, and
 * beyond that ever more slowly, toward the limit if it may be reached, else toward half way to it.
 */
export function limitedFov(
  projection: Projection,
  params: ProjectionParams,
  { degrees: fov, axis }: Span,
  kept: number,
): number {
  const most = mostOf(projection, params, axis);
  // A rounding error must not take from a keyframe that lies just at `kept`.
  const knee = Math.min(most, most * kept * (1 + 1e-12));
  if (fov <= knee) return Math.max(fov, LEAST);
  const room = projection.fovLimit(axis, params).inclusive ? most - knee : (most - knee) / 2;
  return room === 0 ? most : knee + room * (1 - Math.exp((knee - fov) / room));
}

/** The part of the projection's range, 0 to 1, that a blend of fovs takes up. */
export function partOfRange(
  projection: Projection,
  params: ProjectionParams,
  fov: Blend<FieldOfView>,
  frame: FrameSize,
): number {
  const parts = spansOf(projection, params, fov, frame).map(
    ({ degrees: fov, axis }) => fov / mostOf(projection, params, axis),
  );
  return Math.min(1, Math.max(...parts));
}
