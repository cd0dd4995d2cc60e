/** A sky's lower edge: for each column the row (fractions allowed) above which the sky lies. */
export type Boundary = Float32Array;

export interface BoundaryCosts {
  readonly width: number;
  readonly height: number;
  /** Log odds of sky for each pixel. */
  readonly evidence: Float32Array;
  /** How much a pixel row's upper border looks like an edge, 0 to 1, for each pixel. */
  readonly edge: Float32Array;
  /** The rows between which it is looked for. */
  readonly first: number;
  readonly end: number;
}

const STEEPEST = 12;
/** What a step of a row from a column to the next costs, in log odds. */
const STEP = 1.2;
/** What an edge along the boundary is worth. */
const EDGE = 10;

/**
 * The boundary that splits all columns into sky above and ground below the best, smooth and closed round the
 * seam: dynamic programming over columns, twice round, of which the middle is kept.
 * Source: Bellman, "Dynamic Programming" (1957); the shortest path over columns is common practice.
 */
export function findBoundary(costs: BoundaryCosts): Boundary {
  const { width, first, end } = costs;
  const rows = end - first + 1;
  const own = columnGains(costs);
  const from = new Int16Array(2 * width * rows);
  let best = Float64Array.from(own.subarray(0, rows));
  for (let k = 1; k < 2 * width; k++) {
    const next = new Float64Array(rows);
    const column = (k % width) * rows;
    for (let r = 0; r < rows; r++) {
      let [top, at] = [Number.NEGATIVE_INFINITY, r];
      const low = Math.max(0, r - STEEPEST);
      const high = Math.min(rows - 1, r + STEEPEST);
      for (let q = low; q <= high; q++) {
        const gain = best[q]! - STEP * Math.abs(q - r);
        if (gain > top) [top, at] = [gain, q];
      }
      next[r] = top + own[column + r]!;
      from[k * rows + r] = at;
    }
    best = next;
  }
  let r = best.indexOf(Math.max(...best));
  const boundary = new Float32Array(width);
  for (let k = 2 * width - 1; k > 0; k--) {
    if (k >= width / 2 && k < 1.5 * width) boundary[k % width] = first + r;
    r = from[k * rows + r]!;
  }
  return boundary;
}

/** For each column and row: what the split there gains. */
function columnGains({ width, height, evidence, edge, first, end }: BoundaryCosts): Float32Array {
  const rows = end - first + 1;
  const gains = new Float32Array(width * rows);
  for (let x = 0; x < width; x++) {
    let gain = 0;
    for (let r = 0; r < rows; r++) {
      const y = first + r;
      gains[x * rows + r] = 2 * gain + EDGE * (y < height ? edge[y * width + x]! : 0);
      if (y < end) gain += evidence[y * width + x]!;
    }
  }
  return gains;
}
