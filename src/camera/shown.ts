import { degrees } from '../math.js';
import { blendRays } from '../projection/blend.js';
import { findLens } from '../projection/index.js';
import type { PlanePoint } from '../projection/types.js';
import type { FovSide } from '../scene/types.js';
import { axisOf, halfAngleOf } from './framing.js';
import type { Camera } from './types.js';

/**
 * The field of view that a camera shows along a side of its frame, in degrees: twice the angle from the
 * view axis to what lies in the middle of that side's end (or in the corner), also within a morph.
 */
export function shownFov(camera: Camera, side: FovSide, width: number, height: number): number {
  const axis = axisOf(side, width, height);
  const [from, to] = camera.lenses.map(({ projection, params, halfExtent: [x, y] }) => {
    const edge: PlanePoint = [axis === 'vertical' ? 0 : x, axis === 'horizontal' ? 0 : y];
    return findLens(projection).toRay(edge, params);
  });
  const { ray } = to === undefined ? from! : blendRays(from!, to, camera.mix);
  return 2 * degrees(halfAngleOf(ray));
}
