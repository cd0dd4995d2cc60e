import { asinClamped, TAU } from '../math.js';
import { azimuthal } from './azimuthal.js';

export const equalArea = azimuthal({
  name: 'equal-area',
  title: 'Equal-area fisheye',
  formula: 'r = 2 sin(theta / 2)',
  goodFor: 'sky cover and canopy measurements: equal solid angles fill equal areas',
  source: 'Lambert azimuthal equal-area; Snyder, USGS PP 1395 (1987), ch. 24',
  limit: () => ({ max: TAU, inclusive: true }),
  radius: (theta) => 2 * Math.sin(theta / 2),
  theta: (radius) => 2 * asinClamped(radius / 2),
});
