import { mkdtempSync, readFileSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, describe, expect, it } from 'vitest';
import { expectFits, save } from '../../../src/master/complete/save.js';
import { MOST_PIXELS } from '../../../src/master/decode/picture.js';
import { V_HEADER } from '../../../src/master/uncompressed.js';

const folder = mkdtempSync(join(tmpdir(), 'orbreel-save-'));
const at = (name: string) => join(folder, name);
afterAll(() => rmSync(folder, { recursive: true }));

/** A black grey-scale picture in libvips's own format, of next to no bytes on the disk. */
async function hollow(name: string, width: number, height: number): Promise<string> {
  const file = at(name);
  const small = { width: 3, height: 5, channels: 3, background: '#000' } as const;
  await sharp({ create: small }).toColourspace('b-w').toFile(file);
  const header = readFileSync(file).subarray(0, V_HEADER);
  // Width and height are its second and third word (libvips, "The VIPS file format").
  expect([header.readInt32LE(4), header.readInt32LE(8)]).toEqual([3, 5]);
  header.writeInt32LE(width, 4);
  header.writeInt32LE(height, 8);
  writeFileSync(file, header);
  truncateSync(file, V_HEADER + width * height);
  return file;
}

describe('save', () => {
  it('writes more pixels than sharp takes unless told', async () => {
    const [width, height] = [32_768, 8_193];
    // sharp's own limit: 0x3FFF squared.
    expect(width * height).toBeGreaterThan(0x3fff ** 2);
    expect(width * height).toBeLessThan(MOST_PIXELS);
    const spill = await hollow('large.v', width, height);
    await save(spill, at('large.jpg'), 8, 10);
    const about = await sharp(at('large.jpg'), { limitInputPixels: false }).metadata();
    expect([about.width, about.height]).toEqual([width, height]);
  });
});

describe('expectFits', () => {
  const fitting = (file: string, width: number, depth: 8 | 16) => () =>
    expectFits(file, { width, height: width / 2, depth });

  it.each([
    ['a.jpg', 50_000, 8],
    ['a.png', 36_000, 16],
    ['a.tif', 50_000, 8],
    ['a.TIFF', 36_000, 16],
    ['a.webp', 16_382, 16],
    ['a.avif', 16_384, 8],
  ] as const)('%s holds a sphere %i pixels wide, of %i bits', (file, width, depth) => {
    expect(fitting(file, width, depth)).not.toThrow();
  });

  it.each([
    [
      'a.tif',
      40_000,
      16,
      'a.tif: expected a picture of at most 4 GB of samples, found 40000x20000 of 16 bits, 4.8 GB: make a smaller copy first.',
    ],
    [
      'a.webp',
      16_384,
      8,
      'a.webp: expected at most 16383 pixels a side, as .webp holds, found 16384x8192: choose .jpg, .png or .tif.',
    ],
    [
      'a.avif',
      16_386,
      8,
      'a.avif: expected at most 16384 pixels a side, as .avif holds, found 16386x8193: choose .jpg, .png or .tif.',
    ],
    [
      'a.jpeg',
      65_502,
      8,
      'a.jpeg: expected at most 65500 pixels a side, as .jpg holds, found 65502x32751: choose .png.',
    ],
  ] as const)(
    '%s does not hold a sphere %i pixels wide, of %i bits',
    (file, width, depth, said) => {
      expect(fitting(file, width, depth)).toThrow(said);
    },
  );
});
