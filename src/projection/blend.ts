import { mix } from '../math.js';
import { normalized } from './guard.js';
import type { Landing, Ray } from './types.js';

/** `inside` says that at least one of the two pictures reaches there. */
export interface BlendedLanding extends Landing {
  /** 1 inside both pictures, 0 outside both; in between where one of them ends. */
  readonly coverage: number;
}

/**
 * The direction `share` of the way from one landing's ray to another's along their great circle, and
 * their masks mixed alike. Opposite rays are joined through a fixed third direction. Twin of
 * `shaders/common/blend.glsl`.
 */
export function blendRays(start: Landing, end: Landing, share: number): BlendedLanding {
  const [from, to] = [start.ray, end.ray];
  const sum: Ray = [from[0] + to[0], from[1] + to[1], from[2] + to[2]];
  const difference: Ray = [to[0] - from[0], to[1] - from[1], to[2] - from[2]];
  const near = Math.hypot(...sum);
  const apart = Math.hypot(...difference);
  const side = scaled(difference, 1 / Math.max(apart, 1e-12));
  const middle = near > 1e-5 ? scaled(sum, 1 / near) : square(side);
  const turn = (2 * share - 1) * Math.atan2(apart, near);
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
  const ray = normalized(
    middle[0] * cos + side[0] * sin,
    middle[1] * cos + side[1] * sin,
    middle[2] * cos + side[2] * sin,
  );
  const coverage = mix(Number(start.inside), Number(end.inside), share);
  return { inside: coverage > 0, ray, coverage };
}

const scaled = ([x, y, z]: Ray, scale: number): Ray => [x * scale, y * scale, z * scale];

/** A unit direction square to `side`. */
function square(side: Ray): Ray {
  const [x, y, z] = side;
  return Math.abs(y) < 0.9
    ? normalized(-x * y, 1 - y * y, -z * y)
    : normalized(1 - x * x, -y * x, -z * x);
}
