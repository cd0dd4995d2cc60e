import { azimuthal } from './azimuthal.js';

export const rectilinear = azimuthal({
  name: 'rectilinear',
  title: 'Rectilinear',
  formula: 'r = tan(theta)',
  goodFor: 'ordinary views: straight lines stay straight; best below 100 degrees',
  source: 'gnomonic; Snyder, Map Projections: A Working Manual, USGS PP 1395 (1987), ch. 22',
  limit: () => ({ max: Math.PI, inclusive: false }),
  radius: Math.tan,
  theta: Math.atan,
});
