import type { Bench, Result, Target } from './types.js';

/** Of at least one number. */
export function median(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b);
  const middle = sorted.length / 2;
  return (sorted[Math.ceil(middle) - 1]! + sorted[Math.floor(middle)]!) / 2;
}

type Measurement = () => number | Promise<number>;

export interface Compared {
  readonly ours: number;
  readonly theirs: number;
  readonly ratio: number;
}

/**
 * Takes both figures in turn, round by round, so that other work on the machine hits them alike; which
 * comes first changes. The first round warms up and does not count.
 */
export async function compare(
  rounds: number,
  ours: Measurement,
  theirs: Measurement,
): Promise<Compared> {
  const pairs: { ours: number; theirs: number }[] = [];
  for (let round = 0; round <= rounds; round++) {
    const first = await (round % 2 === 0 ? ours : theirs)();
    const second = await (round % 2 === 0 ? theirs : ours)();
    const pair = round % 2 === 0 ? [first, second] : [second, first];
    if (round > 0) pairs.push({ ours: pair[0]!, theirs: pair[1]! });
  }
  return {
    ours: median(pairs.map((pair) => pair.ours)),
    theirs: median(pairs.map((pair) => pair.theirs)),
    ratio: median(pairs.map((pair) => pair.ours / pair.theirs)),
  };
}

/** Seconds that some work takes. */
export async function seconds(work: () => unknown): Promise<number> {
  const start = performance.now();
  await work();
  return (performance.now() - start) / 1000;
}

export const atLeast = (value: number): Target => ({ kind: 'at least', value });
export const atMost = (value: number): Target => ({ kind: 'at most', value });

export function isMet({ ratio, target }: Result): boolean | undefined {
  if (target === undefined) return undefined;
  return target.kind === 'at least' ? ratio >= target.value : ratio <= target.value;
}

/** Frames of one measurement: what the user asks for, else what suits the work. */
export const framesOf = ({ frames }: Bench, usual: number): number => Math.max(2, frames ?? usual);
