import type { Grid } from './grid.js';

/** Shares by solid angle of what the picture shows, holes left out, in per cent. */
export interface Highlights {
  /** All three channels are at their end: white without any detail. */
  readonly blown: number;
  /** At least one channel is. */
  readonly clipped: number;
}

/** JPEG's rounding takes the highest code one down. */
const CLIPPED = 254;

/** How much of the picture is at the end of the code range. 16-bit pictures are looked at in 8. */
export function measureHighlights(grid: Grid, holes: Uint8Array): Highlights {
  let seen = 0;
  let blown = 0;
  let clipped = 0;
  for (let row = 0; row < grid.height; row += 1) {
    const weight = grid.solidAngles[row]!;
    for (let index = row * grid.width; index < (row + 1) * grid.width; index += 1) {
      if (holes[index] === 1) continue;
      seen += weight;
      const r = grid.data[4 * index]!;
      const g = grid.data[4 * index + 1]!;
      const b = grid.data[4 * index + 2]!;
      if (Math.max(r, g, b) >= CLIPPED) clipped += weight;
      if (Math.min(r, g, b) >= CLIPPED) blown += weight;
    }
  }
  const percent = (sum: number) => (seen === 0 ? 0 : (100 * sum) / seen);
  return { blown: percent(blown), clipped: percent(clipped) };
}
