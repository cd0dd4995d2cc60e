import { describe, expect, it } from 'vitest';
import { type AtlasLayout, GUTTER, layOut, levelPlace, levelSize } from '../../src/render/atlas.js';

const rectangles = (layout: AtlasLayout) =>
  Array.from({ length: layout.levels }, (_, level) => {
    const { x, y, width, height } = levelPlace(layout, level);
    return {
      left: x - GUTTER,
      top: y - GUTTER,
      right: x + width + GUTTER,
      bottom: y + height + GUTTER,
    };
  });

const MASTERS = [
  [64, 32],
  [2048, 1024],
  [8192, 4096],
  [8191, 4096],
  [12000, 6000],
  [18000, 9000],
  [32768, 16384],
] as const;

describe('layOut', () => {
  it.each(MASTERS)('places the levels of %ix%i on pages without overlap', (width, height) => {
    const layout = layOut(width, height, 16384, 31)!;
    expect(Math.max(layout.page.width, layout.page.height)).toBeLessThanOrEqual(16384);
    const places = rectangles(layout);
    for (const [index, a] of places.entries()) {
      expect(a.left).toBeGreaterThanOrEqual(0);
      expect(a.top).toBeGreaterThanOrEqual(0);
      expect(a.right).toBeLessThanOrEqual(layout.page.width);
      expect(a.bottom).toBeLessThanOrEqual(layout.page.height);
      for (const b of places.slice(index + 1)) {
        const apart =
          a.right <= b.left || b.right <= a.left || a.bottom <= b.top || b.bottom <= a.top;
        expect(apart).toBe(true);
      }
    }
  });

  it.each(MASTERS)('covers all of %ix%i and halves from level 1 on', (width, height) => {
    const layout = layOut(width, height, 16384, 31)!;
    expect(layout.tile.width * layout.tilesX).toBeGreaterThanOrEqual(width);
    expect(layout.tile.height * layout.tilesY).toBeGreaterThanOrEqual(height);
    const first = levelSize(layout, 1);
    expect(first.width).toBeGreaterThanOrEqual(width / 2);
    for (let level = 2; level < layout.levels; level++) {
      const size = levelSize(layout, level);
      expect(Number.isInteger(size.width)).toBe(true);
      expect(size.width).toBe(first.width / 2 ** (level - 1));
      expect(size.height).toBe(first.height / 2 ** (level - 1));
    }
  });

  it('takes one page where one is enough, and says when nothing is', () => {
    expect(layOut(8192, 4096, 16384, 31)).toMatchObject({ tilesX: 1, tilesY: 1 });
    expect(layOut(18000, 9000, 16384, 31)).toMatchObject({ tilesX: 2, tilesY: 1 });
    expect(layOut(18000, 9000, 2048, 7)).toBeUndefined();
  });
});
