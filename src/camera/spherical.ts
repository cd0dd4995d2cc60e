import { quat } from 'gl-matrix';
import type { Orientation } from './types.js';

type Mutable = [number, number, number, number];

/** A turn about an axis through the camera, in its own directions: its angle in radians along the axis. */
export type Turn = readonly [x: number, y: number, z: number];

const fresh = (): Mutable => [0, 0, 0, 1];

/** The turn that, after `from`, leads to `to`; by the angle that their signs say, up to a full turn. */
function turnBetween(from: Orientation, to: Orientation): Turn {
  const out = fresh();
  quat.conjugate(out, from as Mutable);
  quat.multiply(out, out, to as Mutable);
  const [x, y, z, w] = out;
  const sine = Math.hypot(x, y, z);
  const scale = sine < 1e-300 ? 2 : (2 * Math.atan2(sine, w)) / sine;
  return [x * scale, y * scale, z * scale];
}

const negative = ([x, y, z, w]: Orientation): Orientation => [-x, -y, -z, -w];

/** The same orientation, with the sign that is nearer to that of `other`. */
const beside = (orientation: Orientation, other: Orientation): Orientation =>
  quat.dot(orientation as Mutable, other as Mutable) < 0 ? negative(orientation) : orientation;

/** The shortest turn that, after `from`, leads to `to`: at most pi. */
export const shortestTurn = (from: Orientation, to: Orientation): Turn =>
  turnBetween(from, beside(to, from));

/** `share` of a turn, after `orientation`. */
export function turned(orientation: Orientation, turn: Turn, share = 1): Orientation {
  const half = (Math.hypot(...turn) * share) / 2;
  const scale = Math.abs(half) < 1e-300 ? share / 2 : (Math.sin(half) / half) * (share / 2);
  const out = fresh();
  const [x, y, z] = turn;
  quat.multiply(out, orientation as Mutable, [x * scale, y * scale, z * scale, Math.cos(half)]);
  quat.normalize(out, out);
  return out;
}

/**
 * A spherical cubic Bezier curve (Shoemake, SIGGRAPH 1985) from one orientation the short way to
 * another. `leaving` and `arriving` are its turns at either end, per whole of `share` (0 to 1), each in
 * the camera's directions there.
 */
export function sphericalCurve(
  from: Orientation,
  to: Orientation,
  leaving: Turn,
  arriving: Turn,
): (share: number) => Orientation {
  const end = beside(to, from);
  const points = [from, turned(from, leaving, 1 / 3), turned(end, arriving, -1 / 3), end];
  return (share) => {
    let left = points;
    while (left.length > 1) {
      left = left
        .slice(1)
        .map((to, index) => turned(left[index]!, turnBetween(left[index]!, to), share));
    }
    return left[0]!;
  };
}
