import { angleBetween } from '../camera/orientation.js';
import type { Orientation } from '../camera/types.js';
import { clamp, mix } from '../math.js';
import { lastAtOrBefore, type Stop, type Stops } from './tracks.js';
import type { Bend } from './turning.js';

/** Parts into which a stretch's way is cut to measure it; fewer where a run has very many stretches. */
const MOST_PARTS = 128;
const LEAST_PARTS = 8;
const PARTS_OF_RUN = 50_000;

/** The way of a stretch of time that is to be turned evenly, measured. */
interface Measured {
  readonly at: number;
  readonly until: number;
  /** Ascending instants, and how far (`at`) the camera has turned by each, in radians. */
  readonly times: readonly number[];
  readonly ways: readonly { readonly at: number }[];
}

/**
 * The instant whose orientation on the path is shown at an instant, so that the camera turns at one speed
 * from the first of a run of `even` bends to where the last one leads (parametrisation by arc length).
 */
export function evenly(
  bends: Stops<Bend>,
  orientationAt: (seconds: number) => Orientation,
  period: number | undefined,
): (seconds: number) => number {
  const runs = runsOf(bends, period).map((times) => ({ at: times[0]!, times }));
  // Measured when it is first come to: of a loop's laps not all are.
  const known = new Map<number, Measured>();
  return (seconds) => {
    const index = lastAtOrBefore(runs, seconds);
    const run = runs[index];
    if (run === undefined || seconds >= run.times.at(-1)!) return seconds;
    const way = known.get(index) ?? measured(run.times, orientationAt);
    known.set(index, way);
    return instantAt(way, orientationAt, (seconds - way.at) / (way.until - way.at));
  };
}

/** The times of the bends of each run; a run all round begins anew with each lap. */
function runsOf(bends: Stops<Bend>, period: number | undefined): readonly number[][] {
  const even = ({ value, ease }: Stop<Bend>) => value.even && ease.kind !== 'hold';
  const round = period !== undefined && bends.every(even);
  const runs: number[][] = [];
  for (const [index, bend] of bends.slice(0, -1).entries()) {
    if (!even(bend)) continue;
    const [at, until] = [bend.at, bends[index + 1]!.at];
    const run = runs.at(-1);
    const goesOn = run?.at(-1) === at && !(round && until - run[0]! > period * (1 + 1e-9));
    if (goesOn) run.push(until);
    else runs.push([at, until]);
  }
  return runs;
}

function measured(
  times: readonly number[],
  orientationAt: (seconds: number) => Orientation,
): Measured {
  const [first] = times as [number];
  const marks = [first];
  const ways = [{ at: 0 }];
  let before = orientationAt(first);
  const parts = clamp(Math.ceil(PARTS_OF_RUN / times.length), LEAST_PARTS, MOST_PARTS);
  for (const [index, until] of times.slice(1).entries()) {
    for (let part = 1; part <= parts; part++) {
      const at = mix(times[index]!, until, part / parts);
      const now = orientationAt(at);
      marks.push(at);
      ways.push({ at: ways.at(-1)!.at + angleBetween(before, now) });
      before = now;
    }
  }
  return { at: first, until: times.at(-1)!, times: marks, ways };
}

/** Halvings of a part; the path is smooth within one, so its chord measures it well. */
const HALVINGS = 30;

function instantAt(
  { at, until, times, ways }: Measured,
  orientationAt: (seconds: number) => Orientation,
  share: number,
): number {
  const whole = ways.at(-1)!.at;
  if (whole === 0) return mix(at, until, share);
  const index = Math.max(0, lastAtOrBefore(ways, share * whole));
  let [low, high] = [times[index]!, times[index + 1] ?? until];
  const start = orientationAt(low);
  const left = share * whole - ways[index]!.at;
  for (let step = 0; step < HALVINGS; step++) {
    const middle = (low + high) / 2;
    if (angleBetween(start, orientationAt(middle)) < left) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
