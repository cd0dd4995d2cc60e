import { TAU } from '../math.js';
import { azimuthal } from './azimuthal.js';

export const equidistant = azimuthal({
  name: 'equidistant',
  title: 'Equidistant fisheye',
  formula: 'r = theta',
  goodFor: 'dome screens and fisheye looks: angles from the centre are to scale',
  source: 'azimuthal equidistant; Snyder, USGS PP 1395 (1987), ch. 25',
  limit: () => ({ max: TAU, inclusive: true }),
  radius: (theta) => theta,
  theta: (radius) => radius,
});
