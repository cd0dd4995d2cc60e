import type { Sequence, Transition } from '../scene/types.js';

/** When a shot begins and ends, in seconds of the whole clip. */
export interface ShotTime {
  readonly start: number;
  readonly end: number;
}

/** How long two shots are on together, in seconds. */
export const overlapOf = (transition: Transition): number =>
  transition.kind === 'cut' ? 0 : transition.duration;

/** The times of all shots: each begins as long before the end of the one before as they overlap. */
export function shotTimes(
  shots: readonly { readonly duration: number }[],
  transitions: readonly Transition[],
): ShotTime[] {
  const times: ShotTime[] = [];
  for (const [index, { duration }] of shots.entries()) {
    const before = times.at(-1)?.end ?? 0;
    const transition = transitions[index - 1];
    const start = before - (transition === undefined ? 0 : overlapOf(transition));
    times.push({ start, end: start + duration });
  }
  return times;
}

/** A shot that is seen at an instant. */
export interface SeenShot {
  /** Which one. */
  readonly shot: number;
  /** Seconds from the shot's own start. */
  readonly at: number;
  /** Its share of the light, more than 0; all shares together are 1. */
  readonly share: number;
}

/** Seconds; an instant this near to a shot's start is its start. */
const SAME_INSTANT = 1e-6;

/** What is seen at `seconds` of the whole clip: one shot or, in a transition, up to two. */
export function shotsAt(
  { shots, transitions }: Pick<Sequence, 'shots' | 'transitions'>,
  seconds: number,
): readonly SeenShot[] {
  const times = shotTimes(shots, transitions);
  const shot = Math.max(
    0,
    times.findLastIndex(({ start }) => start <= seconds + SAME_INSTANT),
  );
  const seen = (index: number, share: number): SeenShot => {
    const at = seconds - times[index]!.start;
    return { shot: index, at: Math.abs(at) < SAME_INSTANT ? 0 : at, share };
  };
  const transition = transitions[shot - 1];
  if (transition === undefined || transition.kind === 'cut') return [seen(shot, 1)];
  const passed = (seconds - times[shot]!.start) / transition.duration;
  const share = incomingShare(transition, passed);
  return [seen(shot - 1, 1 - share), seen(shot, share)].filter(({ share }) => share > 0);
}

/** The incoming shot's share of the light when `passed` (0 to 1) of the transition is over. */
function incomingShare({ kind }: Transition, passed: number): number {
  const [from, until] = kind === 'planet' ? PLANETS_DISSOLVE : [0, 1];
  const share = (passed - from) / (until - from);
  // Rounding errors at the ends are no mixture.
  if (share < NEARLY) return 0;
  if (share > 1 - NEARLY) return 1;
  return share;
}

const NEARLY = 1e-5;

/** Between these parts of a planet transition the one planet dissolves into the other. */
const PLANETS_DISSOLVE = [0.42, 0.58] as const;
