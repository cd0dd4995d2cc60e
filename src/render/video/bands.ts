import { GUTTER, type Size } from '../atlas.js';
import { polarReach } from '../calm.js';

/** Rows of a level, from its top row to `end`, left out. */
export interface Rows {
  readonly from: number;
  readonly end: number;
}

/** The rows of a level that are averaged alike: near the top; as many lie near the bottom. */
export interface CalmBand extends Rows {
  /** How often the rows they are averaged from were halved along themselves. */
  readonly halvings: number;
  /** Texels of those that a row's average takes at most. */
  readonly taps: number;
}

/** Levels lower than this are averaged texel by texel: cheap enough, and fewer passes. */
const LOW = 300;

/** Where averages over more texels take halved rows. */
const LONG = 16;

/**
 * How a level's rows near the poles are averaged along themselves (src/render/calm.ts): over few texels
 * from the rows themselves, over many from rows halved so often that 8 to 16 of their texels suffice.
 */
export function calmBands(size: Size): CalmBand[] {
  const calm = rowsWhere(size, (reach) => reach > 1);
  if (calm === 0) return [];
  const reachOf = (row: number) => polarReach(row, size);
  if (size.height < LOW) {
    return [{ from: 0, end: calm, halvings: 0, taps: tapsFor(reachOf(0)) }];
  }
  const bands: CalmBand[] = [];
  let end = calm;
  for (let halvings = 0; end > 0; halvings++) {
    // Halved rows must come out even.
    const isLast = size.width % 2 ** (halvings + 1) !== 0;
    const longer = rowsWhere(size, (reach) => reach > LONG * 2 ** halvings);
    // Rows past the pole are the first ones again: those stay in one band.
    const from = isLast || longer < GUTTER ? 0 : longer;
    if (from < end)
      bands.push({ from, end, halvings, taps: tapsFor(reachOf(from) / 2 ** halvings) });
    end = from;
  }
  return bands;
}

/** A stretch of `reach` cells lies in so many at most. */
const tapsFor = (reach: number): number => Math.ceil(reach) + 1;

/** The reach falls from the pole on: the number of rows for which it is still large. */
function rowsWhere(size: Size, isLarge: (reach: number) => boolean): number {
  let rows = 0;
  while (rows < size.height / 2 && isLarge(polarReach(rows, size))) rows++;
  return rows;
}
