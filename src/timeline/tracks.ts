import type { Blend } from '../camera/types.js';
import { mix } from '../math.js';
import type { Ease, Keyframe } from '../scene/types.js';
import { eased } from './easing.js';

export interface Stop<T> {
  readonly at: number;
  readonly value: T;
  readonly ease: Ease;
}

/** One channel over time: the keyframes that set it, ascending, at least one. */
export type Track<T> = readonly Stop<T>[];

/** The keyframes for which `pick` yields a value; `fallback` all through when none does. */
export function trackOf<T>(
  keyframes: readonly Keyframe[],
  pick: (keyframe: Keyframe) => T | undefined,
  fallback: T,
): Track<T> {
  const stops = keyframes.flatMap((keyframe) => {
    const value = pick(keyframe);
    return value === undefined ? [] : [{ at: keyframe.at, value, ease: keyframe.ease }];
  });
  return stops.length > 0 ? stops : [{ at: 0, value: fallback, ease: { kind: 'linear' } }];
}

/** The index of the last of `times` (ascending) at or before `seconds`; -1 when all are later. */
export function lastAtOrBefore(times: readonly { readonly at: number }[], seconds: number): number {
  let low = 0;
  let high = times.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (times[middle]!.at <= seconds) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

/** Held before the first stop and after the last; between two, eased by the earlier one's ease. */
export function stopsAt<T>(track: Track<T>, seconds: number): Blend<Stop<T>> {
  const index = lastAtOrBefore(track, seconds);
  const from = track[Math.max(0, index)]!;
  const to = track[index + 1];
  if (index < 0 || to === undefined) return { from, to: from, mix: 0 };
  return { from, to, mix: eased(from.ease, (seconds - from.at) / (to.at - from.at)) };
}

export function blendAt<T>(track: Track<T>, seconds: number): Blend<T> {
  const { from, to, mix: share } = stopsAt(track, seconds);
  return { from: from.value, to: to.value, mix: share };
}

export function numberAt(track: Track<number>, seconds: number): number {
  const { from, to, mix: share } = blendAt(track, seconds);
  return mix(from, to, share);
}
