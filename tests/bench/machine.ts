import { readFileSync } from 'node:fs';
import { availableParallelism, loadavg } from 'node:os';
import type { Machine } from './types.js';

/** Linux counts in hundredths of a second for us, whatever it does inside. */
const TICKS_A_SECOND = 100;

export interface Usage {
  /** Seconds of all cores together that were busy, whoever it was. */
  readonly all: number;
  /** Seconds that this process and its children that have ended were busy. */
  readonly ours: number;
}

/** CPU time so far; undefined where there is no /proc. */
export function usage(): Usage | undefined {
  try {
    const [, user = 0, nice = 0, system = 0, , , irq = 0, softIrq = 0, steal = 0] = readFileSync(
      '/proc/stat',
      'utf8',
    )
      .split('\n')[0]!
      .split(/ +/)
      .map(Number);
    // After the name in brackets: state is the third field; utime, stime, cutime, cstime are 14 to 17.
    const own = readFileSync('/proc/self/stat', 'utf8').split(') ').at(-1)!.split(' ');
    const ours = own.slice(11, 15).reduce((sum, field) => sum + Number(field), 0);
    const all = user + nice + system + irq + softIrq + steal;
    return { all: all / TICKS_A_SECOND, ours: ours / TICKS_A_SECOND };
  } catch {
    return undefined;
  }
}

/** Seconds of all cores together that others were busy between two counts, at least 0. */
export function othersBetween(before: Usage | undefined, after: Usage | undefined): number {
  if (before === undefined || after === undefined) return 0;
  return Math.max(0, after.all - before.all - (after.ours - before.ours));
}

/** Notes what the machine is and what else it does while `work` runs. */
export async function observed<T>(
  renderer: string,
  work: () => Promise<T>,
): Promise<{ result: T; machine: Machine }> {
  const load = loadavg()[0]!;
  const [before, start] = [usage(), performance.now()];
  const result = await work();
  const took = (performance.now() - start) / 1000;
  const others = before && { othersBusy: othersBetween(before, usage()) / took };
  return { result, machine: { renderer, cpus: availableParallelism(), load, ...others } };
}
