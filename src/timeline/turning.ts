import { orientationOf, slerpOrientation } from '../camera/orientation.js';
import { shortestTurn, sphericalCurve, type Turn } from '../camera/spherical.js';
import type { Orientation } from '../camera/types.js';
import type { Keyframe } from '../scene/types.js';
import { eased } from './easing.js';
import { tamed, through } from './smooth.js';
import { lastAtOrBefore, type Stop, type Stops } from './tracks.js';

/** A keyframe that has to do with turning. */
export interface Bend {
  readonly turn: Keyframe['turn'];
  readonly even: boolean;
}

/** A stretch of time turned along the sphere, not by yaw, pitch and roll as numbers. */
export interface Sweep {
  readonly at: number;
  readonly until: number;
  /** The orientation at a progress of 0 to 1. */
  readonly along: (progress: number) => Orientation;
}

const setsAngle = ({ yaw, pitch, roll }: Keyframe): boolean =>
  yaw !== undefined || pitch !== undefined || roll !== undefined;

/**
 * The stops of the turning: keyframes that set an angle, and those that, between two such, ask to go
 * the shortest way from where the camera is then.
 */
export function bendsOf(keyframes: readonly Keyframe[]): Stops<Bend> {
  let turn: Keyframe['turn'] = 'as-written';
  return keyframes.flatMap((keyframe): Stop<Bend>[] => {
    const begins = keyframe.turn === 'shortest' && turn !== 'shortest';
    if (!setsAngle(keyframe) && !begins) return [];
    turn = keyframe.turn;
    const { at, ease, smooth = false, even = false } = keyframe;
    return [{ at, ease, smooth, value: { turn, even } }];
  });
}

/** The shortest ways among `bends`, where `written` is the orientation by yaw, pitch and roll. */
export function sweepsOf(
  bends: Stops<Bend>,
  written: (seconds: number) => Orientation,
): readonly Sweep[] {
  const rates = ratesOf(bends, written);
  return bends.slice(0, -1).flatMap((bend, index): Sweep[] => {
    if (bend.value.turn !== 'shortest') return [];
    const [at, until] = [bend.at, bends[index + 1]!.at];
    const [from, to] = [written(at), written(until)];
    const scaled = (turn: Turn) => times(turn, until - at);
    const along = bend.smooth
      ? sphericalCurve(from, to, scaled(rates[index]!), scaled(rates[index + 1]!))
      : (progress: number) => slerpOrientation(from, to, eased(bend.ease, progress));
    return [{ at, until, along }];
  });
}

/** The sweep that is under way at `seconds`, and its progress. */
export function sweepAt(sweeps: readonly Sweep[], seconds: number): Orientation | undefined {
  const sweep = sweeps[lastAtOrBefore(sweeps, seconds)];
  if (sweep === undefined || seconds >= sweep.until) return undefined;
  return sweep.along((seconds - sweep.at) / (sweep.until - sweep.at));
}

const times = ([x, y, z]: Turn, factor: number): Turn => [x * factor, y * factor, z * factor];
const length = (turn: Turn): number => Math.hypot(...turn);
const cosBetween = (a: Turn, b: Turn): number =>
  (a[0] * b[0] + a[1] * b[1] + a[2] * b[2]) / (length(a) * length(b) || 1);

/** Of a stretch, from its end: where the speed of what is no spherical curve is read. */
const MOMENT = 1e-5;

/**
 * The turning speed at each bend beside a smooth sweep, in radians per second about axes of the camera:
 * what the monotone cubics have, for turns. About one axis the sweeps are just those cubics. The sharper
 * a corner between two sweeps is beyond a right angle, the slower it is taken; a way back begins at rest.
 */
function ratesOf(bends: Stops<Bend>, written: (seconds: number) => Orientation): readonly Turn[] {
  const last = bends.length - 1;
  const curved = (stretch: number) =>
    stretch >= 0 &&
    stretch < last &&
    bends[stretch]!.smooth &&
    bends[stretch]!.value.turn === 'shortest';
  const lasts = (stretch: number) => bends[stretch + 1]!.at - bends[stretch]!.at;
  const secant = (stretch: number): Turn => {
    const turn = shortestTurn(written(bends[stretch]!.at), written(bends[stretch + 1]!.at));
    return times(turn, 1 / lasts(stretch));
  };
  /** Within a stretch that is no curve, between two shares of its time. */
  const speed = (stretch: number, from: number, to: number): Turn => {
    const { at, value, ease } = bends[stretch]!;
    const place = (share: number) =>
      value.turn === 'shortest'
        ? slerpOrientation(written(at), written(bends[stretch + 1]!.at), eased(ease, share))
        : written(at + share * lasts(stretch));
    return times(shortestTurn(place(from), place(to)), 1 / ((to - from) * lasts(stretch)));
  };
  const rateAt = (index: number): Turn => {
    const [before, after] = [curved(index - 1), curved(index)];
    if (before && after) {
      const [left, right] = [secant(index - 1), secant(index)];
      const cos = cosBetween(left, right);
      const mean = (axis: 0 | 1 | 2) =>
        through(left[axis], right[axis], lasts(index - 1), lasts(index));
      return times([mean(0), mean(1), mean(2)], cos < 0 ? 1 - cos * cos : 1);
    }
    // A held value jumps at the very end.
    if (after && index > 0) return speed(index - 1, 1 - 2 * MOMENT, 1 - MOMENT);
    if (before && index < last) return speed(index, 0, MOMENT);
    return [0, 0, 0];
  };

  const raw = bends.map((_, index) => rateAt(index));
  const factors = bends.map((_, stretch) => {
    if (!curved(stretch)) return 1;
    const whole = length(secant(stretch));
    if (whole === 0) return 0;
    return tamed(length(raw[stretch]!) / whole, length(raw[stretch + 1]!) / whole);
  });
  return raw.map((rate, index) => times(rate, Math.min(factors[index - 1] ?? 1, factors[index]!)));
}

export const oriented = (angles: { yaw: number; pitch: number; roll: number }): Orientation =>
  orientationOf(angles.yaw, angles.pitch, angles.roll);
