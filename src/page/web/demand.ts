import type { Camera } from '../../camera/types.js';
import { wrapped } from '../../math.js';
import type { Ray } from '../../projection/types.js';
import { directionAt, distance } from '../../render/resolution.js';
import { levelOf, type Tile, type TilesLayout, tileName } from '../layout.js';

/** Points across and down a frame at which its tiles are looked for. */
const POINTS = 25;

/** Lookups are this much finer than a pixel: frame.frag's REACH over its SAMPLES. */
const REACH = 0.4;

/** How far round each point it is looked, as a part of a tile. */
const AROUND = 0.08;

/**
 * The tiles that a frame looks up, the coarsest first.
 *
 * @param bias by how many levels it may be coarser than that
 */
export function tilesFor(
  layout: TilesLayout,
  camera: Camera,
  { width, height }: { readonly width: number; readonly height: number },
  bias: number,
): Tile[] {
  const at = (index: number) => (2 * index) / (POINTS - 1) - 1;
  const rows = Array.from({ length: POINTS }, (_, row) =>
    Array.from({ length: POINTS }, (_, column) => directionAt(camera, at(column), at(row))),
  );
  const tiles = new Map<string, Tile>();
  const texels = levelOf(layout, 0).height / Math.PI;
  for (let row = 0; row < POINTS; row++) {
    for (let column = 0; column < POINTS; column++) {
      const here = rows[row]![column]!;
      const across = distance(here, rows[row]![column + (column > 0 ? -1 : 1)]!);
      const down = distance(here, rows[row + (row > 0 ? -1 : 1)]![column]!);
      const [x, y] = [(across * (POINTS - 1)) / width, (down * (POINTS - 1)) / height];
      const footprint = Math.max(Math.sqrt(x * y), Math.max(x, y) / 2);
      const level = Math.floor(Math.log2(Math.max(footprint * REACH * texels, 1e-6))) + bias;
      add(tiles, layout, Math.min(layout.levels - 1, Math.max(0, level)), here);
    }
  }
  return [...tiles.values()].sort((a, b) => b.level - a.level);
}

function add(tiles: Map<string, Tile>, layout: TilesLayout, level: number, [x, y, z]: Ray): void {
  const { columns, rows } = levelOf(layout, level);
  const u = (0.5 + Math.atan2(x, -z) / (2 * Math.PI)) * columns;
  const v = (0.5 - Math.atan2(y, Math.hypot(x, z)) / Math.PI) * rows;
  for (const [dx, dy] of [
    [0, 0],
    [-AROUND, 0],
    [AROUND, 0],
    [0, -AROUND],
    [0, AROUND],
  ] as const) {
    const column = wrapped(Math.floor(u + dx), columns) | 0;
    const row = Math.min(rows - 1, Math.max(0, Math.floor(v + dy)));
    const tile = { level, column, row };
    tiles.set(tileName(tile), tile);
  }
}
