import { clamp, mix, TAU } from '../math.js';
import { findLens } from '../projection/index.js';
import { ballOf } from './ball.js';
import { limitedFov, partOfRange, spansOf } from './fovRange.js';
import type { FrameSize } from './framing.js';
import { allParams, framed, lensOf, mixedParams } from './lens.js';
import { rotationMatrix } from './orientation.js';
import { perspectiveLens } from './perspectiveMorph.js';
import type { Blend, Camera, FieldOfView, Lens, ProjectionEnd, ViewSample } from './types.js';

/**
 * What to draw for one instant in a frame of `width` x `height` (only the ratio counts), the ball
 * included.
 *
 * One projection, also with parameters on the move: one lens. Rectilinear and stereographic, either
 * way: one lens of the general perspective between them. Any other two: two lenses, each framed with
 * the fov of the instant, their rays to be blended. A lens that cannot take that fov yet or any more
 * (rectilinear on the way to a full sphere) is framed with one that nears, but never leaves, its range;
 * see `fovRange.ts`. At its own keyframe it always gets the keyframe's very fov, so a morph begins
 * and ends with the pure projections.
 */
export function resolveCamera(sample: ViewSample, width: number, height: number): Camera {
  const view = resolveView(sample, width, height);
  const ball = sample.ball === undefined ? undefined : ballOf(sample.ball);
  return ball === undefined ? view : { ...view, ball };
}

function resolveView(sample: ViewSample, width: number, height: number): Camera {
  const rotation = rotationMatrix(sample.orientation);
  const frame = { width, height };
  const { from, to } = sample.projection;
  const share = clamp(sample.projection.mix, 0, 1);
  const alone = (lens: Lens): Camera => ({ rotation, lenses: [lens], mix: 0 });

  if (from.name === to.name) return alone(sameProjection(from, to, share, sample.fov, frame));
  if (from.name === 'rectilinear' && to.name === 'stereographic') {
    return alone(perspectiveLens(from, share, sample.fov, frame));
  }
  if (from.name === 'stereographic' && to.name === 'rectilinear') {
    return alone(perspectiveLens(to, 1 - share, sample.fov, frame));
  }
  if (share === 0) return alone(morphLens(from, sample.fov, frame));
  if (share === 1) return alone(morphLens(to, sample.fov, frame));
  const lenses = [morphLens(from, sample.fov, frame), morphLens(to, sample.fov, frame)] as const;
  return { rotation, lenses, mix: share };
}

/** While two lenses are blended, each keeps the track's fov up to this part of its range, as taste. */
const COMFORT = 2 / 3;

/** One of two lenses. A projection that takes the whole sphere needs no limit: nothing is wider. */
function morphLens(end: ProjectionEnd, fov: Blend<FieldOfView>, frame: FrameSize): Lens {
  const projection = findLens(end.name);
  const params = allParams(projection, end);
  const own = partOfRange(projection, params, end.fov, frame);
  return framed(spansOf(projection, params, fov, frame), (span) => {
    const { max, inclusive } = projection.fovLimit(span.axis, params);
    const kept = inclusive && max >= TAU ? 1 : Math.max(COMFORT, own);
    const fovTaken = limitedFov(projection, params, span, kept);
    return lensOf(projection, params, fovTaken, span, frame);
  });
}

/** While a parameter moves, so may the limit (Panini's); the scene's fov is kept nearly up to it. */
const NEARLY = 0.95;

function sameProjection(
  from: ProjectionEnd,
  to: ProjectionEnd,
  share: number,
  fov: Blend<FieldOfView>,
  frame: FrameSize,
): Lens {
  const projection = findLens(from.name);
  const [start, end] = [allParams(projection, from), allParams(projection, to)];
  const moves = Object.keys(start).some((name) => start[name] !== end[name]);
  const params = share === 0 ? start : share === 1 ? end : mixedParams(start, end, share);
  const part = (stop: ProjectionEnd) => partOfRange(projection, stop.params, stop.fov, frame);
  const kept = moves ? Math.max(NEARLY, mix(part(from), part(to), share)) : 1;
  return framed(spansOf(projection, params, fov, frame), (span) =>
    lensOf(projection, params, limitedFov(projection, params, span, kept), span, frame),
  );
}
