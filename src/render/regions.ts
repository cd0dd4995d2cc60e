import type { Camera } from '../camera/types.js';
import { type Resolution, resolutionAt } from './resolution.js';

/** A part of a frame, in pixels; y from the frame's first row. */
export interface Region extends Needs {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** What a part of a frame needs of the program that draws it. */
export interface Needs {
  /** Some pixels may be smaller than a texel of the master. */
  readonly magnified: boolean;
  /** Some lookups may stand for more than a texel, and so for coarser levels. */
  readonly minified: boolean;
}

/** About the side of the blocks that a frame is sorted by: pixels, but so many at most along a side. */
const BLOCK = 120;
const MOST_BLOCKS = 16;

/** Between the points that are looked at, the resolution may go a little farther. */
const MARGIN = 0.85;

/**
 * Cuts a frame into regions, so that only those that magnify the master, or shrink it, pay for it. A
 * block is judged by its corners and its centre.
 *
 * @param masterResolution texels of the master a radian
 * @param samples rays along a pixel's side, at least 1
 */
export function regionsOf(
  camera: Camera,
  width: number,
  height: number,
  masterResolution: number,
  samples: number,
): Region[] {
  const columns = blocksAlong(width);
  const rows = blocksAlong(height);
  const corners = grid(camera, width, height, columns, rows, 0);
  const centres = grid(camera, width, height, columns, rows, 0.5);
  const needs = (points: readonly Resolution[]): Needs => ({
    magnified: points.some(({ finer }) => finer > MARGIN * masterResolution),
    minified: points.some(({ coarser }) => coarser * samples * MARGIN < masterResolution),
  });
  const regions: Region[] = [];
  for (let row = 0; row < rows; row++) {
    const y = Math.round((row * height) / rows);
    const below = Math.round(((row + 1) * height) / rows);
    for (let column = 0; column < columns; column++) {
      const x = Math.round((column * width) / columns);
      const right = Math.round(((column + 1) * width) / columns);
      const at = row * (columns + 1) + column;
      const around = [at, at + 1, at + columns + 1, at + columns + 2].map((i) => corners[i]!);
      const block = { x, y, width: right - x, height: below - y };
      add(regions, { ...block, ...needs([...around, centres[at]!]) });
    }
  }
  return regions;
}

const blocksAlong = (side: number): number =>
  Math.min(MOST_BLOCKS, Math.max(1, Math.round(side / BLOCK)));

/** Resolution at each of a grid's points, moved by `shift` of its step. */
function grid(
  camera: Camera,
  width: number,
  height: number,
  columns: number,
  rows: number,
  shift: number,
): Resolution[] {
  return Array.from({ length: (columns + 1) * (rows + 1) }, (_, index) => {
    const column = Math.min(columns, (index % (columns + 1)) + shift);
    const row = Math.min(rows, Math.floor(index / (columns + 1)) + shift);
    return resolutionAt(camera, width, height, (2 * column) / columns - 1, 1 - (2 * row) / rows);
  });
}

const alike = (a: Needs, b: Needs): boolean =>
  a.magnified === b.magnified && a.minified === b.minified;

/** Joins neighbours of a kind: a block to the run on its left, a run to the like one above it. */
function add(regions: Region[], block: Region): void {
  const last = regions.at(-1);
  const continues =
    last !== undefined &&
    alike(last, block) &&
    last.y === block.y &&
    last.height === block.height &&
    last.x + last.width === block.x;
  if (continues) regions[regions.length - 1] = { ...last, width: last.width + block.width };
  else regions.push(block);
  joinRows(regions);
}

function joinRows(regions: Region[]): void {
  const [above, last] = regions.slice(-2);
  if (above === undefined || last === undefined || !alike(above, last)) return;
  if (above.x !== last.x || above.width !== last.width) return;
  if (above.y + above.height !== last.y) return;
  regions.splice(-2, 2, { ...above, height: above.height + last.height });
}
