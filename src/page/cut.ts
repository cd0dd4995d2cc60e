import type { Samples } from '../master/pixels.js';
import { GUTTER, levelOf, type Tile, type TileLevel, type TilesLayout } from './layout.js';

/** A tile with its gutter: RGB, 8 bits, rows from the top. */
export interface CutTile extends Tile {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8Array;
}

/**
 * Cuts the rows of all levels into tiles, each as soon as its last row has come, so that only a band of
 * each level is held.
 *
 * @returns takes the next row of a level, from the top; `codes` may be used anew afterwards
 */
export function createCutter(
  layout: TilesLayout,
  sink: (tile: CutTile) => void,
): (level: number, row: number, codes: Samples) => void {
  const bands = Array.from({ length: layout.levels }, (_, level) =>
    createBand(levelOf(layout, level), (tile) => sink({ ...tile, level })),
  );
  return (level, row, codes) => bands[level]!(row, inBytes(codes));
}

const inBytes = (codes: Samples): Uint8Array =>
  codes instanceof Uint8Array ? codes.slice() : Uint8Array.from(codes, (code) => code >> 8);

function createBand(level: TileLevel, sink: (tile: Omit<CutTile, 'level'>) => void) {
  const { height, columns, rows, tileHeight } = level;
  const held = new Map<number, Uint8Array>();
  let next = 0;
  return (row: number, codes: Uint8Array): void => {
    held.set(row, codes);
    while (next < rows && row === Math.min(height, (next + 1) * tileHeight + GUTTER) - 1) {
      for (let column = 0; column < columns; column++) sink(cut(level, held, column, next));
      next++;
      for (const old of held.keys()) if (old < next * tileHeight - GUTTER) held.delete(old);
    }
  };
}

function cut(
  { width, height, tileWidth, tileHeight }: TileLevel,
  rows: ReadonlyMap<number, Uint8Array>,
  column: number,
  row: number,
) {
  const across = tileWidth + 2 * GUTTER;
  const down = tileHeight + 2 * GUTTER;
  const data = new Uint8Array(across * down * 3);
  for (let line = 0; line < down; line++) {
    const y = row * tileHeight - GUTTER + line;
    // Past a pole the sphere goes on down the other side.
    const beyond = y < 0 || y >= height;
    const from = rows.get(y < 0 ? -1 - y : y >= height ? 2 * height - 1 - y : y)!;
    const left = column * tileWidth - GUTTER + (beyond ? width / 2 : 0);
    for (let filled = 0; filled < across; ) {
      const x = (left + filled + 2 * width) % width;
      const count = Math.min(across - filled, width - x);
      data.set(from.subarray(3 * x, 3 * (x + count)), 3 * (line * across + filled));
      filled += count;
    }
  }
  return { column, row, width: across, height: down, data };
}
