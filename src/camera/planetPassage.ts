import { type mat3, quat } from 'gl-matrix';
import { clamp, mix, radians } from '../math.js';
import { findLens } from '../projection/index.js';
import { frameLens } from './framing.js';
import { anglesOf, orientationOf, rotationMatrix } from './orientation.js';
import type { Camera, Lens, Orientation } from './types.js';

type CameraAt = (seconds: number) => Camera;

/** A camera's way into its little planet, or out of it, in the seconds of its own shot. */
export interface Passage {
  /** `closing` begins with the shot's own camera, `opening` ends with it. */
  readonly way: 'closing' | 'opening';
  readonly from: number;
  readonly until: number;
  /** Of the planet under the camera over the whole time; negative to the left. */
  readonly turns: number;
  /** Degrees across the frame's shorter side when it is all planet. */
  readonly fov: number;
}

/** The part of the time after which a closing view is all planet; an opening one leaves as much before its end. */
const CLOSED = 0.47;

/** The parts of the way in and out of which the movement gathers and loses speed; between them it is even. */
const RAMP = 0.2;

/** Instants at which the turning is followed, so that it is never taken the other way round. */
const LOOKS = 64;

/**
 * A shot's camera that rises to look straight down while its projection goes over to stereographic and
 * the planet turns under it, or the same backwards. The shot's own movement goes on below and fades out.
 * At its end of the passage, and outside it, the camera is the shot's own.
 */
export function throughPlanet(
  cameraAt: CameraAt,
  passage: Passage,
  width: number,
  height: number,
): CameraAt {
  const { way, from, until, turns, fov } = passage;
  const closing = way === 'closing';
  const planet = frameLens(findLens('stereographic'), {}, fov, 'shorter', width, height);
  const orientationAt = followed((seconds) => turnOf(cameraAt(seconds)), from, until);
  const own = orientationAt(closing ? from : until);
  const down = near(orientationOf(anglesOf(own).yaw, -90, 0), own);

  return (seconds) => {
    const camera = cameraAt(seconds);
    const passed = clamp((seconds - from) / (until - from), 0, 1);
    // How far from the shot's own camera, in time.
    const away = closing ? passed : 1 - passed;
    if (away <= 0) return camera;
    const share = evenly(away / CLOSED);
    const turned = turns * (smoothstep(passed) - (closing ? 0 : 1));
    const lifted = slerpStraight(orientationAt(seconds), down, share);
    const rotation = rotationMatrix(turnedBy(lifted, 360 * turned));
    return { ...camera, rotation, ...lensesTowards(camera, planet, share, closing ? 1 : 0) };
  };
}

type Lenses = Pick<Camera, 'lenses' | 'mix'>;

/**
 * `share` of the way from a camera's lenses to one. A camera that is itself between two lenses first goes
 * over to the one (0 or 1) that it nears in time.
 */
function lensesTowards(camera: Camera, to: Lens, share: number, end: 0 | 1): Lenses {
  const [first, second] = camera.lenses;
  if (second === undefined) return towards(first, to, share);
  if (share < 0.5) {
    const over = mix(camera.mix, end, smoothstep(2 * share));
    return { lenses: [first, second], mix: over };
  }
  return towards(end === 0 ? first : second, to, smoothstep(2 * share - 1));
}

function towards(from: Lens, to: Lens, share: number): Lenses {
  const [start, end] = [distanceOf(from), distanceOf(to)];
  if (share === 1) return { lenses: [to], mix: 0 };
  if (start === undefined || end === undefined) return { lenses: [from, to], mix: share };
  // Evenly on a logarithmic scale, as zooming looks even.
  const side = (axis: 0 | 1) => from.halfExtent[axis] ** (1 - share) * to.halfExtent[axis] ** share;
  const lens: Lens = {
    projection: 'perspective',
    params: { distance: mix(start, end, share) },
    halfExtent: [side(0), side(1)],
  };
  return { lenses: [lens], mix: 0 };
}

/** How far behind the centre a perspective's viewpoint lies; undefined for other projections. */
function distanceOf({ projection, params }: Lens): number | undefined {
  if (projection === 'rectilinear') return 0;
  if (projection === 'stereographic') return 1;
  return projection === 'perspective' ? params.distance : undefined;
}

const turnOf = ({ rotation }: Camera): Orientation => {
  const out: [number, number, number, number] = [0, 0, 0, 1];
  quat.fromMat3(out, rotation as unknown as Parameters<typeof mat3.fromQuat>[0]);
  quat.normalize(out, out);
  return out;
};

const dot = (a: Orientation, b: Orientation): number =>
  a[0] * b[0] + a[1] * b[1] + a[2] * b[2] + a[3] * b[3];

/** Of the two quaternions for the same orientation the one nearer to `other`. */
const near = (q: Orientation, other: Orientation): Orientation =>
  dot(q, other) < 0 ? [-q[0], -q[1], -q[2], -q[3]] : q;

/** The same turning, its quaternions without jumps to their opposites. */
function followed(
  turnAt: (seconds: number) => Orientation,
  from: number,
  until: number,
): (seconds: number) => Orientation {
  const looks: Orientation[] = [];
  for (let index = 0; index <= LOOKS; index++) {
    const turn = turnAt(mix(from, until, index / LOOKS));
    looks.push(near(turn, looks.at(-1) ?? turn));
  }
  return (seconds) => {
    const index = Math.round(clamp((seconds - from) / (until - from), 0, 1) * LOOKS);
    return near(turnAt(seconds), looks[index]!);
  };
}

/** Slerp (Shoemake, SIGGRAPH 1985) from the very quaternion to the other, also where that is the longer way. */
function slerpStraight(from: Orientation, to: Orientation, share: number): Orientation {
  const angle = Math.acos(clamp(dot(from, to), -1, 1));
  const sine = Math.sin(angle);
  const [a, b] =
    sine < 1e-9
      ? [1 - share, share]
      : [Math.sin((1 - share) * angle) / sine, Math.sin(share * angle) / sine];
  const at = (index: 0 | 1 | 2 | 3) => a * from[index] + b * to[index];
  const out: [number, number, number, number] = [at(0), at(1), at(2), at(3)];
  quat.normalize(out, out);
  return out;
}

/** Turned about the vertical, to the right when positive. */
function turnedBy(orientation: Orientation, angle: number): Orientation {
  const out: [number, number, number, number] = [0, 0, 0, 1];
  quat.rotateY(out, out, radians(-angle));
  quat.multiply(out, out, orientation as unknown as typeof out);
  return out;
}

/** From 0 to 1 with a gentle start and stop, and no faster between than need be. */
function evenly(x: number): number {
  const t = clamp(x, 0, 1);
  const top = 1 / (1 - RAMP);
  if (t < RAMP) return (top * t * t) / (2 * RAMP);
  if (t > 1 - RAMP) return 1 - (top * (1 - t) ** 2) / (2 * RAMP);
  return top * (t - RAMP / 2);
}

function smoothstep(x: number): number {
  const t = clamp(x, 0, 1);
  return t * t * (3 - 2 * t);
}
