import type { Stops } from './tracks.js';

/** Before and after the lap in question, so that no smooth path feels an end: it looks two stops round. */
const LAPS = [-2, -1, 0, 1, 2] as const;

/** Two times nearer than this, in seconds, are one. */
const SAME = 1e-6;

/**
 * The stops of a channel that goes round and round, one lap in `period` seconds: five laps of them, the
 * one from 0 to `period` in the middle. A stop at the very end of the lap is the one at its start again.
 *
 * @param shift a stop's value so many laps later; `first` and `last` are the ends of the way once round
 */
export function lapped<T>(
  stops: Stops<T>,
  period: number,
  shift: (value: T, laps: number, first: T, last: T) => T = (value) => value,
): Stops<T> {
  const [first, last] = [stops[0]!, stops.at(-1)!];
  if (stops.length === 1) return stops;
  const closed = last.at - first.at > period - SAME;
  const once = closed ? stops.slice(0, -1) : stops;
  return LAPS.flatMap((lap) =>
    once.map((stop) => ({
      ...stop,
      at: stop.at + lap * period,
      value: shift(stop.value, lap, first.value, last.value),
    })),
  );
}

/**
 * An angle so many laps later, in degrees: whole turns go on. From the last value the way leads to the
 * nearest angle that is the first one again; from just opposite, on in the direction of the lap.
 */
export function turnedOn(angle: number, laps: number, first: number, last: number): number {
  const turns = Math.sign(last - first) * Math.floor(Math.abs(last - first) / 360 + 0.5);
  return angle + laps * 360 * turns;
}
