import { leastStretch } from '../camera/ball.js';
import type { Camera } from '../camera/types.js';
import type { Ray } from '../projection/types.js';
import type { AtlasLayout } from './atlas.js';
import { directionAt, distance, type Resolution, resolutionAt } from './resolution.js';

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
  /** Whether the camera's ball may be seen. */
  readonly ball: boolean;
  /** The only tile of the master that is looked up; undefined where it may be several. */
  readonly tile?: number | undefined;
}

/** About the side of the blocks that a frame is sorted by: pixels, but so many at most along a side. */
const BLOCK = 80;
const MOST_BLOCKS = 32;

/** Between the points that are looked at, the resolution may go a little farther. */
const MARGIN = 0.85;

/**
 * Cuts a frame into regions, so that only those that magnify the master, or shrink it, or look up
 * several of its tiles, or show the ball, pay for it. A block is judged by its corners, its centre and its sides' middles.
 *
 * @param samples rays along a pixel's side, at least 1
 */
export function regionsOf(
  camera: Camera,
  width: number,
  height: number,
  master: AtlasLayout,
  samples: number,
): Region[] {
  const masterResolution = master.width / (2 * Math.PI);
  const columns = blocksAlong(width);
  const rows = blocksAlong(height);
  const corners = grid(camera, width, height, columns, rows, 0);
  const centres = grid(camera, width, height, columns, rows, 0.5);
  const tileOf = tileFinder(camera, master, columns, rows);
  const severalTiles = master.tilesX * master.tilesY > 1;
  const showsBall = ballFinder(camera, columns, rows);
  const least = camera.ball === undefined ? 1 : leastStretch(camera.ball);
  const needs = (points: readonly Resolution[], ball: boolean): Omit<Needs, 'tile'> => ({
    magnified: points.some(({ finer }) => finer > MARGIN * masterResolution * (ball ? least : 1)),
    // Towards its rim a ball shows ever more of the master.
    minified: ball || points.some(({ coarser }) => coarser * samples * MARGIN < masterResolution),
    ball,
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
      const ball = showsBall(column, row);
      const tile = ball && severalTiles ? undefined : tileOf(column, row);
      add(regions, { ...block, ...needs([...around, centres[at]!], ball), tile });
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

/** By so much a block may reach farther from its centre than its corners and its sides' middles. */
const BEYOND = 1.25;

/** Tells whether a block may show any of the ball, by the column and row of blocks. */
function ballFinder(
  camera: Camera,
  columns: number,
  rows: number,
): (column: number, row: number) => boolean {
  const { ball } = camera;
  if (ball === undefined) return () => false;
  const radius = Math.asin(1 / ball.distance);
  return (column, row) => {
    const at = (i: number, j: number) =>
      directionAt(camera, (2 * (column + i)) / columns - 1, 1 - (2 * (row + j)) / rows);
    const centre = at(0.5, 0.5);
    const around = [0, 0.5, 1].flatMap((j) => [0, 0.5, 1].map((i) => angle(centre, at(i, j))));
    return angle(centre, ball.direction) < radius + BEYOND * Math.max(...around);
  };
}

/** Radians between two unit vectors. */
const angle = (a: Ray, b: Ray): number => 2 * Math.asin(Math.min(1, distance(a, b) / 2));

/** How far from a tile's border a block must keep, as a part of its own extent: its middle may bulge. */
const BULGE = 0.3;
/** A block that spans more of the master's width lies on the seam or round a pole. */
const WIDEST = 0.3;

/** Tells which tile a block looks up, by the column and row of blocks. */
function tileFinder(
  camera: Camera,
  { tilesX, tilesY, tile, width, height }: AtlasLayout,
  columns: number,
  rows: number,
): (column: number, row: number) => number | undefined {
  if (tilesX * tilesY === 1) return () => 0;
  const across = 2 * columns + 1;
  const places = Array.from({ length: across * (2 * rows + 1) }, (_, index) => {
    const x = (index % across) / columns - 1;
    const y = 1 - Math.floor(index / across) / rows;
    const [dx, dy, dz] = directionAt(camera, x, y);
    return [
      0.5 + Math.atan2(dx, -dz) / (2 * Math.PI),
      0.5 - Math.atan2(dy, Math.hypot(dx, dz)) / Math.PI,
    ] as const;
  });
  const tileAlong = (values: readonly number[], side: number, texels: number, count: number) => {
    const [low, high] = [Math.min(...values), Math.max(...values)];
    if (high - low > WIDEST) return undefined;
    const bulge = BULGE * (high - low) + 4 / texels;
    const share = side / texels;
    const first = Math.floor((low - bulge) / share);
    const last = Math.floor((high + bulge) / share);
    return first === last && first >= 0 && first < count ? first : undefined;
  };
  return (column, row) => {
    const start = 2 * row * across + 2 * column;
    const around = [0, 1, 2].flatMap((j) => [0, 1, 2].map((i) => places[start + j * across + i]!));
    const [us, vs] = [around.map(([u]) => u), around.map(([, v]) => v)];
    const x = tileAlong(us, tile.width, width, tilesX);
    const y = tileAlong(vs, tile.height, height, tilesY);
    return x === undefined || y === undefined ? undefined : y * tilesX + x;
  };
}

const alike = (a: Needs, b: Needs): boolean =>
  a.magnified === b.magnified &&
  a.minified === b.minified &&
  a.ball === b.ball &&
  a.tile === b.tile;

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
