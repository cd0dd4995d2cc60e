import { azimuthal } from './azimuthal.js';
import { DISTANCE, distanceOf, seenAt, shareOfWay } from './distance.js';

/** Joins rectilinear (d = 0) and stereographic (d = 1). Morphs use it; the registry does not list it. */
export const perspective = azimuthal({
  name: 'perspective',
  title: 'General perspective',
  formula: 'r = (d + 1) sin(theta) / (d + cos(theta))',
  goodFor: 'the way from rectilinear to stereographic',
  source: 'perspective azimuthal; Snyder, USGS PP 1395 (1987), ch. 23, viewpoint within the sphere',
  params: [DISTANCE],
  limit: (params) => ({ max: 2 * Math.acos(-distanceOf(params)), inclusive: false }),
  radius: (theta, params) => seenAt(theta, distanceOf(params)),
  theta(radius, params) {
    const d = distanceOf(params);
    const share = shareOfWay(radius, d);
    return Math.atan2(radius * share, share * (d + 1) - d);
  },
});
