import { PATHS, type Point } from './place.js';

const CELL_IN_M = 8;
const CELLS = 100;
const HALF_EXTENT_IN_M = (CELL_IN_M * CELLS) / 2;
const REACH_IN_M = 7;

/** What `pathDistance` answers where no path is near. */
export const NO_PATH = REACH_IN_M;

interface Dot {
  readonly x: number;
  readonly z: number;
  readonly half: number;
}

const buckets = bucketed(PATHS.flatMap(({ points, half }) => smooth(points, half)));

/** Metres from the edge of the nearest path: negative on it, at most {@link NO_PATH}. */
export function pathDistance(x: number, z: number): number {
  const column = Math.floor((x + HALF_EXTENT_IN_M) / CELL_IN_M);
  const row = Math.floor((z + HALF_EXTENT_IN_M) / CELL_IN_M);
  if (column < 0 || row < 0 || column >= CELLS || row >= CELLS) return NO_PATH;
  let nearest = NO_PATH;
  for (const dot of buckets[row * CELLS + column] as Dot[]) {
    const distance = Math.hypot(x - dot.x, z - dot.z) - dot.half;
    if (distance < nearest) nearest = distance;
  }
  return nearest;
}

/** A Catmull-Rom curve through the points, as dots every 0.4 m or so. */
function smooth(points: readonly Point[], half: number): Dot[] {
  const dots: Dot[] = [];
  const point = (i: number) => points[Math.min(points.length - 1, Math.max(0, i))] as Point;
  for (let i = 0; i + 1 < points.length; i++) {
    const [a, b, c, d] = [point(i - 1), point(i), point(i + 1), point(i + 2)];
    const steps = Math.ceil(Math.hypot(c[0] - b[0], c[1] - b[1]) / 0.4);
    for (let step = 0; step < steps; step++) {
      const t = step / steps;
      const along = (k: 0 | 1) =>
        0.5 *
        (2 * b[k] +
          (c[k] - a[k]) * t +
          (2 * a[k] - 5 * b[k] + 4 * c[k] - d[k]) * t * t +
          (3 * b[k] - a[k] - 3 * c[k] + d[k]) * t * t * t);
      dots.push({ x: along(0), z: along(1), half });
    }
  }
  return dots;
}

function bucketed(dots: readonly Dot[]): Dot[][] {
  const cells: Dot[][] = Array.from({ length: CELLS * CELLS }, () => []);
  const cellOf = (value: number) => Math.floor((value + HALF_EXTENT_IN_M) / CELL_IN_M);
  for (const dot of dots) {
    const reach = REACH_IN_M + dot.half;
    for (let row = cellOf(dot.z - reach); row <= cellOf(dot.z + reach); row++) {
      for (let column = cellOf(dot.x - reach); column <= cellOf(dot.x + reach); column++) {
        if (row >= 0 && column >= 0 && row < CELLS && column < CELLS) {
          cells[row * CELLS + column]?.push(dot);
        }
      }
    }
  }
  return cells;
}
