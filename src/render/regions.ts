import { leastStretch } from '../camera/ball.js';
import type { Camera } from '../camera/types.js';
import type { AtlasLayout } from './atlas.js';
import { angle, directionAt } from './resolution.js';
import { bendOf, isBroad } from './smooth.js';
import type { Nine, Survey } from './survey.js';

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
  /** Whether a pixel's rays may be told from its middle: the picture fills it and bends little. */
  readonly smooth: boolean;
  /** Whether the camera's ball may be seen. */
  readonly ball: boolean;
  /** The only tile of the master that is looked up; undefined where it may be several. */
  readonly tile?: number | undefined;
}

/** Blocks of a frame, by their numbers, that one mesh draws. */
export interface Patch extends Needs {
  /** Cells of the mesh along a block's side. */
  readonly cells: number;
  readonly blocks: readonly number[];
}

/** A frame's parts: all of it, each part once. */
export interface Parts {
  /** Where every pixel works out for itself where it looks. */
  readonly regions: readonly Region[];
  /** Where that is interpolated. */
  readonly patches: readonly Patch[];
}

export interface Sorting {
  /** Texels that a pixel may be wide before coarser levels are looked up. */
  readonly unshrunk: number;
  /** Whether close-ups are looked up bicubically. */
  readonly cubic: boolean;
  /** Pixels by which places may be off that are told from others; 0 where none may be. */
  readonly tolerance: number;
  /** Whether a mesh may do that over several pixels. */
  readonly mesh: boolean;
}

/**
 * A mesh with cells of a pixel would be off by a block's bend / its pixels^2; a ray at a pixel's corner, told
 * from its middle and the neighbours', by so many times as much.
 */
const STRAY = 9;

/** Between the points that are looked at, the resolution may go a little farther. */
const MARGIN = 0.95;

/**
 * Sorts a frame's blocks, so that only those that magnify the master, or shrink it, or look up several
 * of its tiles, or bend it strongly, or show the ball, pay for it.
 */
export function partsOf(
  camera: Camera,
  survey: Survey,
  width: number,
  height: number,
  master: AtlasLayout,
  { unshrunk, cubic, tolerance, mesh }: Sorting,
): Parts {
  const { columns, rows, narrowest, widest } = survey;
  const pixels = Math.min(width / columns, height / rows);
  const masterResolution = master.width / (2 * Math.PI);
  const severalTiles = master.tilesX * master.tilesY > 1;
  const showsBall = ballFinder(camera, columns, rows);
  const least = camera.ball === undefined ? 1 : leastStretch(camera.ball);
  const regions: Region[] = [];
  const patches = new Map<string, Patch & { blocks: number[] }>();
  for (let block = 0; block < columns * rows; block++) {
    const [row, column] = [Math.floor(block / columns), block % columns];
    const ball = showsBall(column, row);
    const bend = ball || tolerance === 0 ? Number.POSITIVE_INFINITY : bendOf(survey, block);
    const needs = {
      magnified: cubic && narrowest[block]! * masterResolution * MARGIN * (ball ? least : 1) < 1,
      // Towards its rim a ball shows ever more of the master.
      minified: ball || widest[block]! * masterResolution > unshrunk * MARGIN,
      smooth: bend * STRAY < tolerance * pixels ** 2,
      tile: ball && severalTiles ? undefined : tileOf(survey, block, master),
      ball,
    };
    const cells = mesh ? cellsFor(bend / tolerance) : undefined;
    if (cells !== undefined) {
      const key = [...Object.values(needs), cells].join();
      const patch = patches.get(key) ?? { ...needs, cells, blocks: [] };
      patch.blocks.push(block);
      patches.set(key, patch);
      continue;
    }
    const y = edge(row, rows, height);
    const x = edge(column, columns, width);
    const right = edge(column + 1, columns, width);
    const below = edge(row + 1, rows, height);
    add(regions, { x, y, width: right - x, height: below - y, ...needs });
  }
  return { regions, patches: [...patches.values()] };
}

/** Meshes that a block may have, by their cells along a side. */
const CELLS = [3, 6, 10] as const;

/** The coarsest mesh that is off by no more than a `bend`-th of what two triangles would be. */
const cellsFor = (bend: number): number | undefined => CELLS.find((cells) => cells ** 2 >= bend);

/** The pixel at which a block begins. */
export const edge = (index: number, count: number, pixels: number): number =>
  Math.round((index * pixels) / count);

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

/** How far from a tile's border a block must keep, as a part of its own extent: its middle may bulge. */
const BULGE = 0.3;

/** Which tile a block looks up. */
function tileOf(
  survey: Survey,
  block: number,
  { tilesX, tilesY, tile, width, height }: AtlasLayout,
): number | undefined {
  if (tilesX * tilesY === 1) return 0;
  const points = survey.points[block]!;
  const x = tileAlong(survey.u, points, tile.width / width, width, tilesX);
  const y = tileAlong(survey.v, points, tile.height / height, height, tilesY);
  return x === undefined || y === undefined ? undefined : y * tilesX + x;
}

/** The same along one side, of which a tile takes `share`. */
function tileAlong(
  values: Float64Array,
  points: Nine,
  share: number,
  texels: number,
  count: number,
): number | undefined {
  let [low, high] = [1, 0];
  for (const point of points) {
    low = Math.min(low, values[point]!);
    high = Math.max(high, values[point]!);
  }
  if (isBroad(low, high)) return undefined;
  const bulge = BULGE * (high - low) + 4 / texels;
  const first = Math.floor((low - bulge) / share);
  const last = Math.floor((high + bulge) / share);
  return first === last && first >= 0 && first < count ? first : undefined;
}

const alike = (a: Needs, b: Needs): boolean =>
  a.magnified === b.magnified &&
  a.minified === b.minified &&
  a.smooth === b.smooth &&
  a.ball === b.ball &&
  a.tile === b.tile;

/** A pixel or a block of each kind that there is among a frame's parts. */
export function samplesOf({ regions, patches }: Parts): Parts {
  const kinds = new Map(
    regions.map(({ x, y, width: _, height: __, ...needs }) => [
      JSON.stringify(needs),
      { x, y, width: 1, height: 1, ...needs },
    ]),
  );
  const blocks = patches.map((patch) => ({ ...patch, blocks: patch.blocks.slice(0, 1) }));
  return { regions: [...kinds.values()], patches: blocks };
}

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
