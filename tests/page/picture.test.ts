import { describe, expect, it } from 'vitest';
import { type CutTile, createCutter } from '../../src/page/cut.js';
import { allTiles, GUTTER, layOutTiles, levelOf } from '../../src/page/layout.js';

describe('a page’s picture', () => {
  it.each([
    // As wide as asked wherever that divides into equal tiles of at most 512 texels.
    [4096, 4096],
    [8192, 8192],
    [16384, 16384],
    [5760, 5760],
    [7680, 7680],
    [6080, 6080],
    [1000, 1000],
    [512, 512],
    [16, 16],
    // Else a little narrower, never wider.
    [11968, 11904],
    [3000, 2976],
  ])('of %i texels across is cut as one of %i', (wanted, width) => {
    const layout = layOutTiles(wanted);
    expect(levelOf(layout, 0)).toMatchObject({ width, height: width / 2 });
    expect(layout.side).toBeLessThanOrEqual(512);
    for (let level = 0; level < layout.levels; level++) {
      const { tileWidth, tileHeight, columns, rows, ...size } = levelOf(layout, level);
      expect([tileWidth * columns, tileHeight * rows]).toEqual([size.width, size.height]);
      expect([size.width, size.height].every(Number.isInteger)).toBe(true);
    }
  });

  it('is cut so that each tile goes on round the sphere and past the poles', () => {
    const layout = layOutTiles(32);
    const { width, height } = levelOf(layout, 0);
    // Each texel says where it lies.
    const texel = (x: number, y: number) => [x, y, x ^ y];
    const tiles: CutTile[] = [];
    const cut = createCutter(layout, (tile) => tiles.push(tile));
    for (let level = 0; level < layout.levels; level++) {
      const size = levelOf(layout, level);
      for (let y = 0; y < size.height; y++) {
        const row = Array.from({ length: size.width }, (_, x) => texel(x, y)).flat();
        cut(level, y, Uint8Array.from(row));
      }
    }
    expect(tiles.length).toBe([...allTiles(layout)].length);
    for (const tile of tiles.filter(({ level }) => level === 0)) {
      const { tileWidth, tileHeight } = levelOf(layout, 0);
      expect([tile.width, tile.height]).toEqual([tileWidth + 2 * GUTTER, tileHeight + 2 * GUTTER]);
      for (let y = 0; y < tile.height; y++) {
        for (let x = 0; x < tile.width; x++) {
          const [u, v] = [tile.column * tileWidth + x - GUTTER, tile.row * tileHeight + y - GUTTER];
          const over = v < 0 || v >= height;
          const wanted = texel(
            (u + width + (over ? width / 2 : 0)) % width,
            v < 0 ? -1 - v : over ? 2 * height - 1 - v : v,
          );
          const at = 3 * (y * tile.width + x);
          expect([...tile.data.subarray(at, at + 3)]).toEqual(wanted);
        }
      }
    }
  });
});
