import type { Ease } from '../scene/types.js';
import { eased, speedIn, speedOut } from './easing.js';

/** The share of the way covered at a progress of 0 to 1 of the time. */
export type Share = (progress: number) => number;

/** How fast a value changes on either side of a stop, on average, in a measure of that stop's own. */
export interface Secants {
  readonly left: number;
  readonly right: number;
}

interface Stretchy {
  readonly at: number;
  readonly ease: Ease;
  readonly smooth: boolean;
}

/**
 * The largest a^2 + b^2 of a cubic whose slopes at its ends are a and b times its secant's, so that it
 * never turns back: Fritsch and Carlson, SIAM J. Numer. Anal. 17(2), 1980, 238-246.
 */
export const MONOTONE = 9;

/** The factor that brings slopes of `a` and `b` secants within the limit; at most 1. */
export const tamed = (a: number, b: number): number =>
  a * a + b * b > MONOTONE ? Math.sqrt(MONOTONE / (a * a + b * b)) : 1;

/** The slope at a stop of the parabola through it and both its neighbours. */
export const through = (left: number, right: number, before: number, after: number): number =>
  (after * left + before * right) / (before + after);

/**
 * For each stretch between two stops the share of its way: by its ease, or, where smooth, by a cubic
 * that runs through its stops without a halt and without an overshoot (monotone cubic Hermite). Where
 * a value turns back it rests. A smooth run takes over the speed of an eased stretch beside it. Where
 * there is nothing beside it, it begins and ends at rest, or, with `open` ends, on the move.
 *
 * @param secantsAt of the stop with that index; asked for only beside smooth stretches
 */
export function sharesOf(
  stops: readonly Stretchy[],
  secantsAt: (index: number) => Secants,
  open = false,
): Share[] {
  const last = stops.length - 1;
  const smooth = (stretch: number) => stretch >= 0 && stretch < last && stops[stretch]!.smooth;
  const length = (stretch: number) => stops[stretch + 1]!.at - stops[stretch]!.at;

  /** At each stop: the slope in secants of the stretch before and of the one after. */
  const ends = stops.map((_, index) => {
    if (!smooth(index - 1) && !smooth(index)) return { before: 0, after: 0 };
    const { left, right } = secantsAt(index);
    let slope = 0;
    if (smooth(index - 1) && smooth(index)) {
      if (left * right > 0) slope = through(left, right, length(index - 1), length(index));
    } else if (smooth(index)) {
      slope = index > 0 ? left * speedOut(stops[index - 1]!.ease) : open ? right : 0;
    } else slope = index < last ? right * speedIn(stops[index]!.ease) : open ? left : 0;
    const inSecants = (secant: number) => (slope * secant > 0 ? slope / secant : 0);
    return { before: inSecants(left), after: inSecants(right) };
  });
  const factors = stops.map((_, stretch) =>
    smooth(stretch) ? tamed(ends[stretch]!.after, ends[stretch + 1]!.before) : 1,
  );
  const factorAt = (index: number) => Math.min(factors[index - 1] ?? 1, factors[index]!);

  return stops.slice(0, last).map(({ ease }, index): Share => {
    if (!smooth(index)) return (progress) => eased(ease, progress);
    const [start, end] = [factorAt(index), factorAt(index + 1)];
    return hermite(start * ends[index]!.after, end * ends[index + 1]!.before);
  });
}

/** The cubic from 0 to 1 with slopes `a` and `b` at its ends. */
const hermite =
  (a: number, b: number): Share =>
  (u) => {
    if (u <= 0) return 0;
    if (u >= 1) return 1;
    return ((a + b - 2) * u + 3 - 2 * a - b) * u * u + a * u;
  };

/** The secants on either side of a stop, in steps of `change`. */
export const secantsOf =
  (
    stops: readonly { readonly at: number }[],
    change: (from: number, to: number, at: number) => number,
  ) =>
  (index: number): Secants => {
    const secant = (from: number, to: number) =>
      stops[from] && stops[to] ? change(from, to, index) / (stops[to].at - stops[from].at) : 0;
    return { left: secant(index - 1, index), right: secant(index, index + 1) };
  };
