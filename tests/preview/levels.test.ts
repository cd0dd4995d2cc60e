import sharp from 'sharp';
import { describe, expect, it, onTestFinished } from 'vitest';
import { layOutForPage, makeLevels } from '../../src/preview/levels.js';
import { layOut, levelPlace, levelSize, withoutFinest } from '../../src/render/atlas.js';
import { workFolder } from './support.js';

const BLACK = [0, 0, 0] as const;

describe('the levels that a page gets', () => {
  it('hold the master’s own texels, and go on round the sphere and past the poles', async () => {
    const work = await workFolder();
    const { signal } = new AbortController();
    const levels = (await makeLevels(work.file('park.png'), { background: BLACK, signal }))!;
    onTestFinished(() => levels.close());
    const { data, info } = await sharp(work.file('park.png'))
      .raw()
      .toBuffer({ resolveWithObject: true });
    const texel = (x: number, y: number) => [
      ...data.subarray(3 * (y * info.width + x)).subarray(0, 3),
    ];
    const read = (x: number, y: number) => [...levels.read(0, x, y, 1, 1)];
    // Within 60 degrees of the equator nothing is averaged.
    for (const [x, y] of [
      [0, 100],
      [511, 128],
      [300, 160],
    ] as const) {
      expect(read(x, y)).toEqual(texel(x, y));
    }
    expect(read(-1, 128)).toEqual(read(511, 128));
    expect(read(514, 128)).toEqual(read(2, 128));
    expect(read(10, -1)).toEqual(read(266, 0));
    expect(read(10, 257)).toEqual(read(266, 254));
    const part = levels.read(1, -3, -2, 20, 10);
    for (const [x, y] of [
      [0, 0],
      [19, 9],
      [3, 2],
    ] as const) {
      const at = 3 * (y * 20 + x);
      expect([...part.subarray(at, at + 3)]).toEqual([...levels.read(1, x - 3, y - 2, 1, 1)]);
    }
  });

  it('stop being made when nobody wants them any more', async () => {
    const work = await workFolder();
    const stop = new AbortController();
    stop.abort();
    const making = makeLevels(work.file('park.png'), { background: BLACK, signal: stop.signal });
    await expect(making).rejects.toThrow('Interrupted');
  });

  it.each([
    [512, 256, 1],
    [8192, 4096, 8],
    [18000, 9000, 10],
    [32768, 16384, 10],
  ])('are cut so that a close-up of %i x %i needs little of it', (width, height, tiles) => {
    const layout = layOutForPage({ width, height });
    expect([layout.width, layout.height]).toEqual([width, height]);
    expect(layout.tilesX * layout.tilesY).toBe(tiles);
    expect(Math.max(layout.page.width, layout.page.height)).toBeLessThanOrEqual(12288);
  });
});

describe('a layout without its finest levels', () => {
  it.each([
    [8192, 4096],
    [18000, 9000],
    [1000, 500],
    [512, 256],
  ])('has the levels that are left, texel for texel: %i x %i', (width, height) => {
    const all = layOutForPage({ width, height });
    for (let count = 0; count < all.levels; count++) {
      for (const most of [64, 8192]) {
        const rest = withoutFinest(all, count, most);
        expect(rest.levels).toBe(all.levels - count);
        for (let level = 0; level < rest.levels; level++) {
          expect(levelSize(rest, level)).toEqual(levelSize(all, count + level));
          const { x, y, width, height } = levelPlace(rest, level);
          expect(x + width + 2).toBeLessThanOrEqual(rest.page.width);
          expect(y + height + 2).toBeLessThanOrEqual(rest.page.height);
        }
        const whole = most === 8192 && count > 0 && levelSize(all, count).width < 5000;
        if (whole) expect([rest.tilesX, rest.tilesY]).toEqual([1, 1]);
      }
    }
  });

  it('is laid out as a master of that size is, where all halves are whole', () => {
    const all = layOut(8192, 4096, 16384, 16)!;
    expect(withoutFinest(all, 2, 16384)).toEqual(layOut(2048, 1024, 16384, 16));
  });
});
