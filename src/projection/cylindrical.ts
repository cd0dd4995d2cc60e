import { clamp, TAU } from '../math.js';
import { guarded, normalized } from './guard.js';
import { longitudeOf } from './sphere.js';
import { OUTSIDE } from './types.js';

export const cylindrical = guarded({
  name: 'cylindrical',
  title: 'Cylindrical',
  formula: 'x = lon, y = tan(lat)',
  goodFor: 'panorama strips: verticals stay straight all the way round',
  source:
    'central cylindrical; Snyder and Voxland, An Album of Map Projections, USGS PP 1453 (1989)',
  params: [],
  azimuthal: false,

  // The corner's angle off the axis grows with the frame only up to a right angle.
  fovLimit: (axis) =>
    axis === 'horizontal' ? { max: TAU, inclusive: true } : { max: Math.PI, inclusive: false },

  toPlane(ray) {
    const level = Math.hypot(ray[0], ray[2]);
    return level === 0 ? OUTSIDE : [longitudeOf(ray), ray[1] / level];
  },

  toRay([x, y]) {
    const longitude = clamp(x, -Math.PI, Math.PI);
    const ray = normalized(Math.sin(longitude), y, -Math.cos(longitude));
    return { inside: longitude === x, ray };
  },

  extent: (axis, halfAngle) => (axis === 'horizontal' ? halfAngle : Math.tan(halfAngle)),
});
