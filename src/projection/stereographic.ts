import { TAU } from '../math.js';
import { azimuthal } from './azimuthal.js';

export const stereographic = azimuthal({
  name: 'stereographic',
  title: 'Stereographic',
  formula: 'r = 2 tan(theta / 2)',
  goodFor: 'little planets (pitch -90), tunnels (pitch +90) and wide views: small shapes stay true',
  source: 'Snyder, Map Projections: A Working Manual, USGS PP 1395 (1987), ch. 21',
  limit: () => ({ max: TAU, inclusive: false }),
  radius: (theta) => 2 * Math.tan(theta / 2),
  theta: (radius) => 2 * Math.atan(radius / 2),
});
