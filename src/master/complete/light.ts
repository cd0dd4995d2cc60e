import { clamp } from '../../math.js';
import { addFieldAt, type Field } from './field.js';
import type { Hole } from './holes.js';
import { direction } from './sphere.js';

/** How much what stands out before a low field of this colour counts, in one channel. */
export type Light = (low: ArrayLike<number>, channel: number) => number;

/** Everything counts as it stands. */
const EVEN: Light = () => 1;
/** What cloud nears where nothing of the sky is seen through it, and the least that it has beyond the sky. */
const WHITE = 255;
const LEAST = 12;
/** Code values by which a sky is blue before which clouds are seen, blue over red. */
const BLUE = 25;

export const isBlue = (rgb: ArrayLike<number>): boolean => rgb[2]! > rgb[0]! + BLUE;

/**
 * Cloud does not add to the sky behind it, it covers it: the darker the sky, the more the same cloud
 * stands out. Around a zenith below which the sky is blue, what stands out counts as much as it would
 * beside the rim, so that cloud copied from low down does not come out blue higher up.
 */
export function lightBefore(hole: Hole, low: Field): Light {
  if (hole.pole <= 0) return EVEN;
  const beside = besideRim(hole, low);
  if (!isBlue(beside)) return EVEN;
  const count = (low: ArrayLike<number>, c: number) =>
    (WHITE - beside[c]!) / Math.max(LEAST, WHITE - low[c]!);
  // What goes beyond reason does so in all channels alike, or clouds would take on a colour.
  return (low, c) => {
    const all = (count(low, 0) + count(low, 1) + count(low, 2)) / 3;
    return (count(low, c) * clamp(all, 0.6, 1.6)) / all;
  };
}

/** The low field's mean colour along a cap's rim. */
function besideRim({ radius, pole }: Hole, low: Field): Float64Array {
  const sum = new Float64Array(3);
  const count = 64;
  for (let n = 0; n < count; n++) {
    const longitude = (n / count) * 2 * Math.PI;
    addFieldAt(low, direction(longitude, pole * (Math.PI / 2 - radius)), 1 / count, sum);
  }
  return sum;
}
