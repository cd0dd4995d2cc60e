import type { Blend } from '../camera/types.js';
import { mix } from '../math.js';
import type { Ease, Keyframe } from '../scene/types.js';
import type { Share } from './smooth.js';

/** A value at its time, and how the way to the next one goes. */
export interface Stop<T> {
  readonly at: number;
  readonly value: T;
  readonly ease: Ease;
  /** Through the stops without a halt at each, whatever the ease. */
  readonly smooth: boolean;
}

/** One channel's stops, ascending in time, at least one. */
export type Stops<T> = readonly Stop<T>[];

/** The keyframes for which `pick` yields a value; `fallback` all through when none does. */
export function stopsOf<T>(
  keyframes: readonly Keyframe[],
  pick: (keyframe: Keyframe) => T | undefined,
  fallback: T,
): Stops<T> {
  const stops = keyframes.flatMap((keyframe) => {
    const value = pick(keyframe);
    const { at, ease, smooth = false } = keyframe;
    return value === undefined ? [] : [{ at, value, ease, smooth }];
  });
  return stops.length > 0
    ? stops
    : [{ at: 0, value: fallback, ease: { kind: 'linear' }, smooth: false }];
}

/** One channel over time: its stops, and the share of the way covered in each stretch after one. */
export interface Track<T> {
  readonly stops: Stops<T>;
  readonly shares: readonly Share[];
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

/** Held before the first stop and after the last. */
export function between<T>({ stops, shares }: Track<T>, seconds: number): Blend<Stop<T>> {
  const index = lastAtOrBefore(stops, seconds);
  const from = stops[Math.max(0, index)]!;
  const to = stops[index + 1];
  if (index < 0 || to === undefined) return { from, to: from, mix: 0 };
  return { from, to, mix: shares[index]!((seconds - from.at) / (to.at - from.at)) };
}

export function blendAt<T>(track: Track<T>, seconds: number): Blend<T> {
  const { from, to, mix: share } = between(track, seconds);
  return { from: from.value, to: to.value, mix: share };
}

export function numberAt(track: Track<number>, seconds: number): number {
  const { from, to, mix: share } = blendAt(track, seconds);
  return mix(from, to, share);
}
