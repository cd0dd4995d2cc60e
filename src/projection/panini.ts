import { DISTANCE, distanceOf, seenAt, shareOfWay } from './distance.js';
import { guarded, normalized } from './guard.js';
import { OUTSIDE } from './types.js';

/** S = (d + 1) / (d + cos lon). Every point of the plane has a direction. */
export const panini = guarded({
  name: 'panini',
  title: 'Panini',
  formula: 'x = S sin(lon), y = S tan(lat), S = (d + 1) / (d + cos(lon))',
  goodFor: 'wide interiors and streets: verticals and lines through the centre stay straight',
  source: 'Sharpless, Postle, German, Pannini: A New Projection, Computational Aesthetics 2010',
  params: [DISTANCE],
  azimuthal: false,

  // The corner's angle off the axis grows with the frame only up to a right angle.
  fovLimit: (axis, params) => ({
    max: axis === 'horizontal' ? 2 * Math.acos(-distanceOf(params)) : Math.PI,
    inclusive: false,
  }),

  toPlane(ray, params) {
    const [x, y, z] = ray;
    const d = distanceOf(params);
    const level = Math.hypot(x, z);
    const depth = d * level - z;
    if (level === 0 || depth <= 0) return OUTSIDE;
    return [((d + 1) * x) / depth, ((d + 1) * y) / depth];
  },

  toRay([x, y], params) {
    const d = distanceOf(params);
    const share = shareOfWay(x, d);
    return { inside: true, ray: normalized(x * share, y * share, d - share * (d + 1)) };
  },

  extent: (axis, halfAngle, params) =>
    axis === 'horizontal' ? seenAt(halfAngle, distanceOf(params)) : Math.tan(halfAngle),
});
