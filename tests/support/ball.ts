import type { Ball } from '../../src/camera/ball.js';
import { decodeSrgb } from '../../src/colour.js';
import { radians } from '../../src/math.js';
import { rayAt } from '../../src/projection/sphere.js';
import type { Ray } from '../../src/projection/types.js';

/** A ball `distance` radii away, white unless told otherwise. */
export const ballAt = (
  kind: 'mirror' | 'glass',
  distance: number,
  { yaw = 0, pitch = 0, index = 1.5, tint = [255, 255, 255, 255] as Ball['look']['tint'] } = {},
): Ball => ({
  look: { kind, index, tint },
  direction: rayAt(radians(yaw), radians(pitch)),
  distance,
});

export interface TracedLight {
  readonly direction: Ray;
  readonly share: readonly number[];
}

/**
 * What a ball of radius 1 sends along a ray, traced from surface to surface with points and normals:
 * nothing of src/camera/ball.ts's turns in the plane. Undefined where the ray passes the ball.
 */
export function traceBall(ball: Ball, ray: Ray): readonly TracedLight[] | undefined {
  const centre = scaled(ball.direction, ball.distance);
  const ahead = dot(centre, ray);
  const passing = minus(centre, scaled(ray, ahead));
  const room = 1 - dot(passing, passing);
  if (room <= 0 || ahead <= 0) return undefined;
  const entry = scaled(ray, ahead - Math.sqrt(room));
  const normal = minus(entry, centre);
  const tint = ball.look.tint.slice(0, 3).map((code) => decodeSrgb(code / 255));
  const outside = reflect(ray, normal);
  if (ball.look.kind === 'mirror') {
    const share = tint.map((colour) => schlick(colour, -dot(ray, normal)));
    return [{ direction: outside, share }];
  }
  const { index } = ball.look;
  const entering = refract(ray, normal, 1 / index);
  if (entering === undefined) return [{ direction: outside, share: [1, 1, 1] }];
  const straight = ((1 - index) / (1 + index)) ** 2;
  const first = schlick(straight, -dot(index < 1 ? entering : ray, normal));
  // The chord's end, whose outward normal is turned inwards, towards the light that comes from within.
  const exit = plus(entry, scaled(entering, -2 * dot(entering, normal)));
  const inward = minus(centre, exit);
  const leaving = refract(entering, inward, index)!;
  const second = schlick(straight, -dot(index < 1 ? entering : leaving, inward));
  const back = reflect(entering, inward);
  const again = plus(exit, scaled(back, 2 * dot(back, inward)));
  const returned = refract(back, minus(centre, again), index)!;
  const coloured = (part: number) => tint.map((colour) => colour * part);
  return [
    { direction: outside, share: [first, first, first] },
    { direction: leaving, share: coloured((1 - first) * (1 - second)) },
    { direction: returned, share: coloured((1 - first) * second) },
  ];
}

/** Schlick, "An inexpensive BRDF model", Computer Graphics Forum 13(3), 1994, 233-246, eq. 15. */
const schlick = (straight: number, cosine: number) => straight + (1 - straight) * (1 - cosine) ** 5;

const reflect = (ray: Ray, normal: Ray): Ray => minus(ray, scaled(normal, 2 * dot(ray, normal)));

/** Snell's law in vectors (Glassner, "An Introduction to Ray Tracing", 1989, ch. 4; from memory). */
function refract(ray: Ray, normal: Ray, ratio: number): Ray | undefined {
  const cosine = -dot(ray, normal);
  const room = 1 - ratio ** 2 * (1 - cosine ** 2);
  if (room < 0) return undefined;
  return plus(scaled(ray, ratio), scaled(normal, ratio * cosine - Math.sqrt(room)));
}

const scaled = ([x, y, z]: Ray, by: number): Ray => [x * by, y * by, z * by];
const plus = (a: Ray, b: Ray): Ray => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
const minus = (a: Ray, b: Ray): Ray => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
export const dot = (a: Ray, b: Ray): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
