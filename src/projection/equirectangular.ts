import { clamp, HALF_PI, TAU } from '../math.js';
import { guarded } from './guard.js';
import { latitudeOf, longitudeOf, rayAt } from './sphere.js';

export const equirectangular = guarded({
  name: 'equirectangular',
  title: 'Equirectangular',
  formula: 'x = lon, y = lat',
  goodFor: 'the whole sphere again, re-aimed or levelled: 360 by 180 degrees in a 2:1 frame',
  source: 'plate carrée; Snyder, Map Projections: A Working Manual, USGS PP 1395 (1987), ch. 12',
  params: [],
  azimuthal: false,

  // The corner's angle off the axis grows with the frame only up to a right angle.
  fovLimit: (axis) => ({
    max: axis === 'horizontal' ? TAU : Math.PI,
    inclusive: axis !== 'diagonal',
  }),

  toPlane: (ray) => [longitudeOf(ray), latitudeOf(ray)],

  toRay([x, y]) {
    const longitude = clamp(x, -Math.PI, Math.PI);
    const latitude = clamp(y, -HALF_PI, HALF_PI);
    return { inside: longitude === x && latitude === y, ray: rayAt(longitude, latitude) };
  },

  extent: (_axis, halfAngle) => halfAngle,
});
