import { clamp } from '../math.js';
import type { ParamInfo, ProjectionParams } from './types.js';

/** Both `panini` and `perspective` see the sphere or cylinder from a point this far behind its centre. */
export const DISTANCE: ParamInfo = {
  name: 'distance',
  about: 'how far behind the centre the viewpoint lies, in radii: 0 is rectilinear',
  min: 0,
  max: 1,
  default: 1,
};

export const distanceOf = (params: ProjectionParams): number =>
  clamp(params.distance ?? DISTANCE.default, DISTANCE.min, DISTANCE.max);

/**
 * The plane radius of what lies `angle` off the axis, seen from the distance `d`:
 * (d + 1) sin(angle) / (d + cos(angle)), by half angles, which stay exact near straight behind.
 */
export function seenAt(angle: number, d: number): number {
  const [sin, cos] = [Math.sin(angle / 2), Math.cos(angle / 2)];
  return (2 * (d + 1) * sin * cos) / (2 * cos * cos - (1 - d));
}

/**
 * Where the line from the viewpoint (0, -d) through the plane's point (`radius`, 1) last meets the
 * unit circle, as a share of the way from the one to the other. Defined for every radius.
 */
export function shareOfWay(radius: number, d: number): number {
  const reach = d + 1;
  const along = d * reach + Math.hypot(reach, Math.sqrt(1 - d * d) * radius);
  return along / (radius * radius + reach * reach);
}
