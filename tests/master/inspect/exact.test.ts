import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp, { type Sharp } from 'sharp';
import { afterAll, describe, expect, it } from 'vitest';
import { coverageOf } from '../../../src/master/inspect/coverage.js';
import { detectFormat } from '../../../src/master/inspect/format.js';
import { readGrid } from '../../../src/master/inspect/grid.js';
import { findHoles } from '../../../src/master/inspect/holes.js';
import { readPhoto } from '../../../src/master/inspect/photo.js';
import { type PhotoName, photo } from '../../support/photos.js';
import { paint, type Rgb } from '../mark/pictures.js';

const folder = mkdtempSync(join(tmpdir(), 'orbreel-exact-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Degrees between a place and the disc's centre. */
function away(longitude: number, latitude: number, centre: readonly [number, number]): number {
  const [a, b, turn] = [latitude, centre[1], longitude - centre[0]].map((d) => (d * Math.PI) / 180);
  const cosine = Math.sin(a!) * Math.sin(b!) + Math.cos(a!) * Math.cos(b!) * Math.cos(turn!);
  return (Math.acos(Math.min(1, cosine)) * 180) / Math.PI;
}

const sky = (_longitude: number, latitude: number): Rgb =>
  latitude < 0 ? [80 + latitude / 4, 90, 60] : [120 + latitude / 6, 150 + latitude / 6, 200];

/** A sky with noise, and discs of exactly one code in it: longitude, latitude, radius. */
async function withDiscs(
  width: number,
  discs: readonly (readonly [number, number, number])[],
  colour: (latitude: number) => Rgb,
  scene = sky,
): Promise<Sharp> {
  const height = width / 2;
  const data = await paint(width, height, scene).raw().toBuffer();
  for (const [longitude, latitude, radius] of discs) {
    const code = colour(latitude).map(Math.round);
    for (let i = 0; i < width * height; i++) {
      const [x, y] = [i % width, Math.floor(i / width)];
      const at = [((x + 0.5) / width) * 360 - 180, 90 - ((y + 0.5) / height) * 180] as const;
      if (away(at[0], at[1], [longitude, latitude]) < radius) data.set(code, 3 * i);
    }
  }
  return sharp(data, { raw: { width, height, channels: 3 } });
}

async function holesOf(name: string, picture: Sharp) {
  const file = join(folder, name);
  await picture.toFile(file);
  const opened = await readPhoto(file, await detectFormat(file));
  const coverage = coverageOf(opened, {});
  return findHoles(await readGrid(opened, coverage), coverage).holes;
}

describe('a hole nearly of the colour around it', () => {
  it.each([
    [256, 12, 'png'],
    [512, 8, 'png'],
    [1024, 4, 'png'],
    [1024, 4, 'tif'],
  ] as const)(
    'is found in a picture %i wide, %i degrees in radius, in .%s',
    async (width, radius, kind) => {
      const near = (latitude: number): Rgb => sky(0, latitude).map((c) => c + 1) as unknown as Rgb;
      const picture = await withDiscs(width, [[30, 40, radius]], near);
      const deep = picture.clone().toColourspace('rgb16').tiff({ compression: 'lzw' });
      const holes = await holesOf(`near-${width}.${kind}`, kind === 'tif' ? deep : picture);
      expect(holes).toHaveLength(1);
      const disc = 2 * Math.PI * (1 - Math.cos((radius * Math.PI) / 180));
      expect(holes[0]?.solidAngle).toBeGreaterThan(0.8 * disc);
      expect(holes[0]?.solidAngle).toBeLessThan(1.1 * disc);
      expect((holes[0]!.top + holes[0]!.bottom) / 2).toBeCloseTo(40, 0);
      expect((holes[0]!.left + holes[0]!.right) / 2).toBeCloseTo(30, 0);
    },
  );

  it('is none where the sky itself has no noise', async () => {
    // Bands of one code each, as a denoised or drawn sky has them.
    const smooth = paint(
      1024,
      512,
      (_, latitude) => [100 + latitude / 3, 140 + latitude / 4, 210],
      0,
    );
    expect(await holesOf('smooth.png', smooth)).toEqual([]);
  });

  it('is not blown light, nor deep shade', async () => {
    for (const code of [255, 0]) {
      const picture = await withDiscs(
        1024,
        [[0, 30, 6]],
        () => [code, code, code],
        () => [code === 255 ? 252 : 3, code === 255 ? 252 : 3, code === 255 ? 251 : 4],
      );
      expect(await holesOf(`clipped-${code}.png`, picture)).toEqual([]);
    }
  });
});

describe('a picture with a palette', () => {
  const NAMES: readonly PhotoName[] = ['dawn', 'sunset', 'sky', 'city'];

  it.each(NAMES)('has no holes where its colours have run out: %s', async (name) => {
    const { width, height, data } = await photo(name);
    const raw = { width, height, channels: 3 } as const;
    const picture = () => sharp(Buffer.from(data), { raw });
    for (const dither of [0, 1]) {
      const palette = picture().png({ palette: true, colours: 64, dither });
      expect(await holesOf(`${name}-${dither}.png`, palette)).toEqual([]);
      const back = await sharp(join(folder, `${name}-${dither}.png`))
        .removeAlpha()
        .raw()
        .toBuffer();
      expect(await holesOf(`${name}-back.png`, sharp(back, { raw }))).toEqual([]);
    }
  });

  it('still shows a black cap', async () => {
    const { width, height, data } = await photo('sunset');
    const cut = Buffer.from(data);
    cut.fill(0, 0, 3 * width * 40);
    const picture = sharp(cut, { raw: { width, height, channels: 3 } }).png({ palette: true });
    expect(await holesOf('capped.png', picture)).toMatchObject([{ touches: ['top'] }]);
  });
});
