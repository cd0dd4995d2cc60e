import { radians, TAU } from '../../math.js';
import { findLens } from '../../projection/index.js';

/** How large a flat square frame a master fills at one field of view, in pixels a side. */
export interface SupportedSize {
  readonly projection: string;
  /** Degrees, across the frame's side. */
  readonly fov: number;
  /** Largest side at which the frame's centre is not magnified. */
  readonly centre: number;
  /** Largest side at which nothing along the frame's middle lines is: edges stretch the most. */
  readonly everywhere: number;
}

/** The views asked for most, and a little planet (common practice, no source). */
const VIEWS: readonly (readonly [projection: string, fov: number])[] = [
  ['rectilinear', 60],
  ['rectilinear', 75],
  ['rectilinear', 90],
  ['rectilinear', 100],
  ['rectilinear', 120],
  ['stereographic', 240],
];

/**
 * A master has at least fullWidth / 2 pi pixels a radian in every direction, and just that along the
 * equator. A frame of side S has S / (2 extent(fov / 2)) pixels a plane unit, and the projection
 * spreads each radian over as many units as the slope of its radius: 1 at the centre.
 *
 * @param fullWidth width in pixels of the whole sphere's picture
 */
export function supportedSizes(fullWidth: number): SupportedSize[] {
  const perRadian = fullWidth / TAU;
  return VIEWS.map(([projection, fov]) => {
    const radius = (angle: number) => findLens(projection).extent('horizontal', angle, {});
    const half = radians(fov) / 2;
    const centre = 2 * radius(half) * perRadian;
    const small = 1e-5;
    const slope = (radius(half + small) - radius(half - small)) / (2 * small);
    return {
      projection,
      fov,
      centre: Math.floor(centre),
      everywhere: Math.floor(centre / Math.max(1, slope)),
    };
  });
}
