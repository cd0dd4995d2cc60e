import { frameCount, frameTime } from './frames.js';
import { clockOf, type Timed } from './timing.js';

/**
 * Keyframes, or whatever else lies in the scene's own time, at the instants of the clip (`at`, seconds)
 * at which they are shown: with timing each never, once or several times; ascending. Where the clip
 * begins between two, the earlier one comes first, at 0.
 */
export function clipPlaces<T extends { readonly at: number }>(
  scene: Timed,
  places: readonly T[],
): T[] {
  const { duration, fps, timing, loop } = scene;
  if (timing === undefined && !loop) return [...places];
  const clock = clockOf(scene);
  const frames = Array.from({ length: frameCount(duration, fps) }, (_, n) => frameTime(n, fps));
  const turns = timing?.stops.map(({ at }) => at) ?? [];
  const instants = [...frames, ...turns, duration].sort((a, b) => a - b);
  const start = clock(0);
  const before = places.findLast(({ at }) => at <= start) ?? (loop ? places.at(-1) : places[0]);
  const found = before === undefined ? [] : [{ ...before, at: 0 }];
  for (const [index, instant] of instants.slice(1).entries()) {
    const [from, to] = [clock(instants[index]!), clock(instant)];
    const passed = places.filter(({ at }) => (from < at && at <= to) || (to <= at && at < from));
    const timed = passed.map((place) => {
      const share = (place.at - from) / (to - from);
      return { ...place, at: instants[index]! + share * (instant - instants[index]!) };
    });
    found.push(...timed.sort((a, b) => a.at - b.at));
  }
  return found;
}
