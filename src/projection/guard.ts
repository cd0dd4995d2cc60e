import { clamp } from '../math.js';
import { OUTSIDE, type PlanePoint, type Projection, type Ray } from './types.js';

/** Farther out no projection's direction changes any more, and squares are still finite. */
const FAR = 1e100;

/** Gives `projection` answers that are always finite or outside, whatever numbers it is handed. */
export function guarded(projection: Projection): Projection {
  return {
    ...projection,
    toPlane(ray, params) {
      if (!ray.every(Number.isFinite) || ray.every((part) => part === 0)) return OUTSIDE;
      const point = projection.toPlane(ray, params);
      return point === OUTSIDE || point.every(Number.isFinite) ? point : OUTSIDE;
    },
    toRay(point, params) {
      const [x, y] = point;
      if (Number.isNaN(x) || Number.isNaN(y)) return { inside: false, ray: [0, 0, -1] };
      const near: PlanePoint = [clamp(x, -FAR, FAR), clamp(y, -FAR, FAR)];
      return projection.toRay(near, params);
    },
  };
}

export function normalized(x: number, y: number, z: number): Ray {
  const length = Math.hypot(x, y, z);
  return [x / length, y / length, z / length];
}
