/** Steps that people count in: 1, 2 or 5 times a power of ten; of angles also parts of a circle. */
const DECIMAL = [1, 2, 5];
const ANGLES = [1, 2, 5, 10, 15, 30, 45, 90, 180, 360];

export type Unit = 'angle' | 'number';

export interface Scale {
  readonly low: number;
  readonly high: number;
  /** Values for lines across, ascending, all from `low` to `high`. */
  readonly ticks: readonly number[];
}

/**
 * A scale that holds all `values` (at least one) with a little room, in at most `most` steps that read
 * well. `least` is the smallest range it spans, so that a steady value does not look shaky.
 */
export function scaleFor(
  values: readonly number[],
  unit: Unit,
  { least, most = 4 }: { readonly least: number; readonly most?: number },
): Scale {
  const [smallest, largest] = [Math.min(...values), Math.max(...values)];
  const missing = Math.max(0, least - (largest - smallest)) / 2;
  const step = stepFor((largest - smallest + 2 * missing) / most, unit);
  const low = Math.floor(tidy((smallest - missing) / step)) * step;
  const high = Math.max(low + step, Math.ceil(tidy((largest + missing) / step)) * step);
  return { low, high, ticks: ticksBetween(low, high, step) };
}

/** Instants for a time axis of `duration` seconds with at most `most` steps. */
export function timeTicks(duration: number, most: number): readonly number[] {
  return ticksBetween(0, duration, stepFor(duration / most, 'number'));
}

export function stepFor(smallest: number, unit: Unit): number {
  if (unit === 'angle' && smallest > 0.5 && smallest <= 360) {
    return ANGLES.find((step) => step >= smallest)!;
  }
  const power = 10 ** Math.floor(Math.log10(smallest));
  const factor = DECIMAL.find((step) => step * power >= smallest * (1 - 1e-9)) ?? 10;
  return factor * power;
}

function ticksBetween(low: number, high: number, step: number): number[] {
  const count = Math.floor(tidy((high - low) / step));
  return Array.from({ length: count + 1 }, (_, index) => tidy(low + index * step));
}

/** Without the last digits, where sums leave crumbs. */
const tidy = (value: number): number => Number(value.toFixed(9));
