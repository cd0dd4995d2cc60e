import type { Camera, Lens } from '../camera/types.js';
import { radians } from '../math.js';
import { findLens } from '../projection/index.js';
import { OUTSIDE, type Ray } from '../projection/types.js';

/** Where in a frame a direction shows: each coordinate 0 to 1 from the left and the top, if it does. */
export function placeInFrame(
  { rotation: m, lenses, mix }: Camera,
  { yaw, pitch }: { readonly yaw: number; readonly pitch: number },
): { readonly x: number; readonly y: number } | undefined {
  const [l, b] = [radians(yaw), radians(pitch)];
  const [x, y, z] = [Math.sin(l) * Math.cos(b), Math.sin(b), -Math.cos(l) * Math.cos(b)];
  const ray: Ray = [
    m[0]! * x + m[1]! * y + m[2]! * z,
    m[3]! * x + m[4]! * y + m[5]! * z,
    m[6]! * x + m[7]! * y + m[8]! * z,
  ];
  const [from, to] = lenses.map((lens) => onPlane(lens, ray));
  // Between two lenses the place has no formula; the mean of the two is near enough for a sign.
  const at = to === undefined || from === undefined ? from : between(from, to, mix);
  if (at === undefined || Math.abs(at[0]) > 1 || Math.abs(at[1]) > 1) return undefined;
  return { x: (1 + at[0]) / 2, y: (1 - at[1]) / 2 };
}

type Point = readonly [number, number];

function onPlane({ projection, params, halfExtent }: Lens, ray: Ray): Point | undefined {
  const at = findLens(projection).toPlane(ray, params);
  return at === OUTSIDE ? undefined : [at[0] / halfExtent[0], at[1] / halfExtent[1]];
}

const between = (a: Point, b: Point, share: number): Point => [
  a[0] + (b[0] - a[0]) * share,
  a[1] + (b[1] - a[1]) * share,
];
