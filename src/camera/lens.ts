import { mix } from '../math.js';
import type { Projection, ProjectionParams } from '../projection/types.js';
import type { Span } from './fovRange.js';
import { type FrameSize, frameLens } from './framing.js';
import type { Lens, ProjectionChoice } from './types.js';

/** The lens of a blend of fovs; with two spans, the mean of their lenses (geometric in the plane scale). */
export function framed(spans: readonly Span[], lensFor: (span: Span, index: number) => Lens): Lens {
  const [first, second] = spans.map(lensFor);
  return second === undefined ? first! : meanLens(first!, second, spans[1]!.weight);
}

export function lensOf(
  projection: Projection,
  params: ProjectionParams,
  fov: number,
  { axis }: Span,
  { width, height }: FrameSize,
): Lens {
  return frameLens(projection, params, fov, axis, width, height);
}

/** Two framings of one projection, which may differ in their parameters. */
function meanLens(from: Lens, to: Lens, share: number): Lens {
  const mean = (side: 0 | 1) => from.halfExtent[side] ** (1 - share) * to.halfExtent[side] ** share;
  const params = mixedParams(from.params, to.params, share);
  return { projection: from.projection, params, halfExtent: [mean(0), mean(1)] };
}

/** A choice's parameters with the defaults filled in. */
export const allParams = (projection: Projection, choice: ProjectionChoice): ProjectionParams =>
  Object.fromEntries(
    projection.params.map(({ name, default: usual }) => [name, choice.params[name] ?? usual]),
  );

/** Both must hold the same names. */
export const mixedParams = (
  from: ProjectionParams,
  to: ProjectionParams,
  share: number,
): ProjectionParams =>
  Object.fromEntries(
    Object.entries(from).map(([name, value]) => [name, mix(value, to[name] ?? value, share)]),
  );
