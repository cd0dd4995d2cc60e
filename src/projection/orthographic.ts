import { asinClamped } from '../math.js';
import { azimuthal } from './azimuthal.js';

export const orthographic = azimuthal({
  name: 'orthographic',
  title: 'Orthographic',
  formula: 'r = sin(theta)',
  goodFor: 'half the sphere as a globe seen from afar, its rim strongly squeezed',
  source: 'Snyder, Map Projections: A Working Manual, USGS PP 1395 (1987), ch. 20',
  limit: () => ({ max: Math.PI, inclusive: true }),
  radius: Math.sin,
  theta: asinClamped,
});
