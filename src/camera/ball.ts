import { decodeSrgb } from '../colour.js';
import { clamp, radians } from '../math.js';
import { rayAt } from '../projection/sphere.js';
import type { Ray } from '../projection/types.js';
import type { BallLook } from '../scene/types.js';
import type { BallSample } from './types.js';

/** A ball of radius 1 before the master, which is infinitely far. The GLSL twin is shaders/common/ball.glsl. */
export interface Ball {
  readonly look: BallLook;
  /** Where its centre lies, a unit vector in the world. */
  readonly direction: Ray;
  /** Of its centre from the camera, in radii: more than 1. */
  readonly distance: number;
}

/** Radii; an easing that overshoots into the ball ends here. */
const NEAREST = 1.001;
/** A camera on the ball but for rounding counts as within. */
const ROUNDING = 1e-9;
/** Degrees; what is smaller is not drawn. */
const LEAST_SIZE = 1e-3;

/** Degrees that a ball takes up, seen from `distance`; undefined from within. */
export function apparentSize(size: number, distance: number): number | undefined {
  const sine = Math.sin(radians(size) / 2) / distance;
  return sine < 1 - ROUNDING && distance > 0 ? (2 * Math.asin(sine) * 180) / Math.PI : undefined;
}

/** The ball of one instant; undefined where it is too small to be seen. */
export function ballOf({ look, yaw, pitch, size, distance }: BallSample): Ball | undefined {
  if (size < LEAST_SIZE) return undefined;
  const radius = Math.sin(radians(Math.min(size, 180)) / 2);
  return {
    look,
    direction: rayAt(radians(yaw), radians(pitch)),
    distance: Math.max(NEAREST, distance / radius),
  };
}

/** Parts of the light, 0 to 1. */
export const linearTint = ({ tint: [r, g, b] }: BallLook): readonly [number, number, number] => [
  decodeSrgb(r / 255),
  decodeSrgb(g / 255),
  decodeSrgb(b / 255),
];

/** A ray from the camera that meets the ball. */
interface Meeting {
  readonly ray: Ray;
  /** Square to the ray, towards the ball's centre, as long as `offset`. */
  readonly towards: Ray;
  /** How far the ray passes the centre, in radii: the sine of its angle of incidence. */
  readonly offset: number;
  /** How far ahead along the ray the centre lies. */
  readonly ahead: number;
}

/** Undefined where the ray (world, unit) passes the ball. */
export function meetBall({ direction, distance }: Ball, ray: Ray): Meeting | undefined {
  const apart: Ray = [direction[0] - ray[0], direction[1] - ray[1], direction[2] - ray[2]];
  const half = dot(apart, apart) / 2;
  const towards: Ray = [
    (apart[0] + half * ray[0]) * distance,
    (apart[1] + half * ray[1]) * distance,
    (apart[2] + half * ray[2]) * distance,
  ];
  const offset = Math.hypot(...towards);
  const ahead = (1 - half) * distance;
  return ahead > 0 && offset < 1 ? { ray, towards, offset, ahead } : undefined;
}

/** One way that light takes to the camera. */
export interface BallPath {
  /** Whence it comes: a unit vector in the world. */
  readonly direction: Ray;
  /** How many times faster than the ray the direction turns, away from the ball's middle and round it. */
  readonly stretch: readonly [radial: number, tangential: number];
  /** The part of the light along that direction that arrives, by colour. */
  readonly share: readonly [r: number, g: number, b: number];
}

/** A ray turned in the plane of ray and centre by delta, towards the centre. */
interface Turn {
  readonly cos: number;
  /** sin(delta) / offset, which is finite in the middle too. */
  readonly sinOverOffset: number;
  /** d delta / d offset */
  readonly slope: number;
}

/**
 * The ways by which the ball sends light along a ray back to the camera; none where the ray passes it.
 * A mirror reflects. Glass reflects, lets through what Snell's law bends twice by i - r, and shows what is
 * reflected once within, which also stands for all that is reflected there more often: so no light is lost.
 */
export function ballPaths(ball: Ball, ray: Ray): readonly BallPath[] {
  const meeting = meetBall(ball, ray);
  if (meeting === undefined) return [];
  const { kind, index } = ball.look;
  const tint = linearTint(ball.look);
  const { offset: sine } = meeting;
  const cosine = Math.sqrt(1 - sine * sine);
  const outside = { cos: 2 * sine * sine - 1, sinOverOffset: -2 * cosine, slope: 2 / cosine };
  if (kind === 'mirror') {
    const share = tint.map((colour) => schlick(colour, cosine)) as unknown as BallPath['share'];
    return [along(meeting, outside, share)];
  }
  const within = Math.sqrt(Math.max(0, 1 - (sine / index) ** 2));
  if (within === 0) return [along(meeting, outside, [1, 1, 1])];
  const reflected = reflectance(index, cosine, within);
  const shared = (part: number): BallPath['share'] => [
    tint[0] * part,
    tint[1] * part,
    tint[2] * part,
  ];
  const [through, once] = turnsWithin(sine, cosine, within, index);
  return [
    along(meeting, outside, [reflected, reflected, reflected]),
    along(meeting, through, shared((1 - reflected) ** 2)),
    along(meeting, once, shared(reflected * (1 - reflected))),
  ];
}

/** Straight through, and after one reflection within: 2 (i - r), and pi - 2 r more. */
function turnsWithin(sine: number, cosine: number, within: number, index: number): [Turn, Turn] {
  // Sine (over the offset) and cosine of i - r, then of i - 2 r.
  const [s1, c1] = [within - cosine / index, cosine * within + sine ** 2 / index];
  const [s2, c2] = [s1 * within - c1 / index, c1 * within + (sine ** 2 * s1) / index];
  const bend = 1 / (index * within);
  return [
    { cos: 2 * c1 * c1 - 1, sinOverOffset: 2 * s1 * c1, slope: 2 / cosine - 2 * bend },
    { cos: 1 - 2 * c2 * c2, sinOverOffset: -2 * s2 * c2, slope: 2 / cosine - 4 * bend },
  ];
}

function along({ ray, towards, ahead }: Meeting, turn: Turn, share: BallPath['share']): BallPath {
  const part = (axis: 0 | 1 | 2) => ray[axis] * turn.cos + towards[axis] * turn.sinOverOffset;
  return {
    direction: [part(0), part(1), part(2)],
    stretch: [Math.abs(1 - ahead * turn.slope), Math.abs(turn.cos - ahead * turn.sinOverOffset)],
    share,
  };
}

/** R0 + (1 - R0) (1 - cos)^5: Schlick, Computer Graphics Forum 13(3), 1994, 233-246. */
const schlick = (straight: number, cosine: number): number =>
  straight + (1 - straight) * (1 - cosine) ** 5;

/**
 * Of either surface of the ball, by Schlick with R0 = ((1 - n) / (1 + n))^2. The angle is the one in the
 * thinner medium, so that a bubble (an index below 1) reflects all where nothing can enter.
 *
 * @param cosine,within of the angles outside and inside; `within` 0 where nothing enters
 */
export function reflectance(index: number, cosine: number, within: number): number {
  return schlick(((1 - index) / (1 + index)) ** 2, index < 1 ? within : cosine);
}

/**
 * How much slower than the view, at most, a direction seen in the ball turns: 1 for not slower, 0 where
 * a ball nearer than its focus shows one spot of the master enlarged without limit.
 */
export function leastStretch({ look: { kind, index }, distance }: Ball): number {
  if (kind === 'mirror' || index < 1) return 1;
  // In the middle of the ball, 1 - 2 distance (1 - 1/n); it grows towards the rim.
  return clamp(2 * distance * (1 - 1 / index) - 1, 0, 1);
}

const dot = (a: Ray, b: Ray): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
