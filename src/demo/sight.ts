import { heightAt, type Level, levelAt } from './levels.js';

/** What a strip of columns sees: per sample the distance along the ray in metres, -1 for sky. */
export interface Sight {
  readonly columns: number;
  /** Rows from the nadir up: row 0 is the lowest. */
  readonly rows: number;
  readonly distance: Float32Array;
}

const FARTHEST_IN_M = 13800;

/**
 * Looks along every column of a strip: in an equirectangular picture a column is one vertical half-plane,
 * so one walk outwards over the height maps finds the first hit of all its rows, exactly.
 *
 * @param longitudes in radians, one a column; @param rowStep radians a row; @param rows counted from the nadir.
 */
export function lookDown(
  levels: readonly Level[],
  eye: number,
  longitudes: Float64Array,
  rowStep: number,
  rows: number,
): Sight {
  return look(longitudes, rows, (sin, cos, distance, at) => {
    let row = 0;
    let radius = 0;
    let top = heightOf(levels, 0, 0);
    while (radius < FARTHEST_IN_M && row < rows) {
      const level = levelAt(levels, radius * sin, radius * cos);
      const drop = (eye - top) / Math.max(radius, 1);
      const footprint = (rowStep * radius * (1 + drop * drop)) / Math.max(0.3, Math.abs(drop));
      const step = Math.max(
        level.metresPerTexel * 0.45,
        Math.min(footprint, level.metresPerTexel * 0.9),
      );
      const next = radius + step;
      const nextTop = heightAt(level, level.top, next * sin, -next * cos);
      const reached = Math.min(
        rows,
        Math.ceil((Math.atan2(nextTop - eye, next) + Math.PI / 2) / rowStep - 0.5),
      );
      for (; row < reached; row++) {
        distance[at(row)] = crossing(eye, (row + 0.5) * rowStep, radius, top, next, nextTop);
      }
      radius = next;
      top = nextTop;
    }
  });
}

/** Walks out along every column: `along` is given its direction, what it sees, and the index of each of its rows. */
function look(
  longitudes: Float64Array,
  rows: number,
  along: (sin: number, cos: number, distance: Float32Array, at: (row: number) => number) => void,
): Sight {
  const columns = longitudes.length;
  const distance = new Float32Array(columns * rows).fill(-1);
  longitudes.forEach((longitude, column) => {
    along(Math.sin(longitude), Math.cos(longitude), distance, (row) => row * columns + column);
  });
  return { columns, rows, distance };
}

function heightOf(levels: readonly Level[], x: number, z: number): number {
  const level = levelAt(levels, x, z);
  return heightAt(level, level.top, x, z);
}

/** Distance along the ray at `angle` above the nadir to the segment between two points of the surface. */
function crossing(
  eye: number,
  angle: number,
  r0: number,
  y0: number,
  r1: number,
  y1: number,
): number {
  const sin = Math.sin(angle);
  const cos = Math.cos(angle);
  // The ray is (r, y) = (t sin, eye - t cos); its signed offset from a point is r cos + (y - eye) sin.
  const a = r0 * cos + (y0 - eye) * sin;
  const b = r1 * cos + (y1 - eye) * sin;
  const share = a === b ? 1 : Math.min(1, Math.max(0, a / (a - b)));
  const r = r0 + (r1 - r0) * share;
  const y = y0 + (y1 - y0) * share;
  return Math.hypot(r, y - eye);
}

/**
 * The same for the view mirrored in the water (eye at -eye): row by row, what a ray that meets the lake
 * at a slope sees after it. Rows are counted from the horizon up; distances from the mirrored eye.
 */
export function lookUp(
  levels: readonly Level[],
  eye: number,
  longitudes: Float64Array,
  rowStep: number,
  rows: number,
): Sight {
  return look(longitudes, rows, (sin, cos, distance, at) => {
    let radius = 8;
    while (radius < FARTHEST_IN_M) {
      const level = levelAt(levels, radius * sin, radius * cos);
      const top = heightAt(level, level.top, radius * sin, -radius * cos);
      const low = Math.max(0, Math.ceil(Math.atan2(eye, radius) / rowStep - 0.5));
      const high = Math.min(rows, Math.ceil(Math.atan2(eye + top, radius) / rowStep - 0.5));
      for (let row = low; row < high; row++) {
        const index = at(row);
        if (distance[index] === -1) distance[index] = radius / Math.cos((row + 0.5) * rowStep);
      }
      radius += Math.max(level.metresPerTexel * 0.6, radius * 0.002);
    }
  });
}
