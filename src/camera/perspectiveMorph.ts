import { clamp, mix, radians } from '../math.js';
import { findLens } from '../projection/index.js';
import { limitedFov, partOfRange, type Span, spansOf } from './fovRange.js';
import type { FrameSize } from './framing.js';
import { framed, lensOf } from './lens.js';
import type { Blend, FieldOfView, Lens, ProjectionEnd } from './types.js';

/** Up to this share of the way the fov eases from what rectilinear can take to what the scene asks. */
const HANDOVER = 0.25;

/** As far as rectilinear keeps the scene's fov where that runs ahead of the morph, of its 180 degrees. */
const COMFORT = 2 / 3;

/**
 * The lens `share` of the way from rectilinear (0) to stereographic (1): the general perspective
 * r = (d + 1) sin(theta) / (d + cos(theta)). At half the fov, h, it must be finite, so d goes from
 * max(0, -cos h) to 1 instead of from 0; every other point of the plane then has a direction too.
 * Wide fovs early on would still put the frame's whole edge next to that limit and pinch its middle:
 * there the fov lags behind.
 */
export function perspectiveLens(
  rectilinearEnd: ProjectionEnd,
  share: number,
  fov: Blend<FieldOfView>,
  frame: FrameSize,
): Lens {
  const rectilinear = findLens('rectilinear');
  const stereographic = findLens('stereographic');
  const own = partOfRange(rectilinear, {}, rectilinearEnd.fov, frame);
  const narrow = (span: Span) => limitedFov(rectilinear, {}, span, Math.max(COMFORT, own));
  const wide = (span: Span) => limitedFov(stereographic, {}, span, 1);
  // Each end zooms evenly by its own law.
  const narrowSpans = spansOf(rectilinear, {}, fov, frame);
  const wideSpans = spansOf(stereographic, {}, fov, frame);
  if (share === 0) {
    return framed(narrowSpans, (span) => lensOf(rectilinear, {}, narrow(span), span, frame));
  }
  if (share === 1) {
    return framed(wideSpans, (span) => lensOf(stereographic, {}, wide(span), span, frame));
  }
  const handover = smoothstep(share / HANDOVER);
  return framed(wideSpans, (span, index) => {
    const degrees = mix(narrow(narrowSpans[index]!), wide(span), handover);
    const least = Math.max(0, -Math.cos(radians(degrees) / 2));
    const params = { distance: mix(least, 1, share) };
    return lensOf(findLens('perspective'), params, degrees, span, frame);
  });
}

function smoothstep(x: number): number {
  const t = clamp(x, 0, 1);
  return t * t * (3 - 2 * t);
}
