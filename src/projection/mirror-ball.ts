import { asinClamped, TAU } from '../math.js';
import { azimuthal } from './azimuthal.js';

/** Not left-right mirrored, as a real ball's picture is: a pixel shows what lies along its direction. */
export const mirrorBall = azimuthal({
  name: 'mirror-ball',
  title: 'Mirror ball',
  formula: 'r = sin(theta / 2)',
  goodFor: 'glass-ball looks: the whole sphere in a disc whose rim is straight behind',
  source:
    "law of reflection on a sphere seen from infinity; half of Lambert's azimuthal equal-area, Snyder, USGS PP 1395 (1987), ch. 24",
  limit: () => ({ max: TAU, inclusive: true }),
  radius: (theta) => Math.sin(theta / 2),
  theta: (radius) => 2 * asinClamped(radius),
});
