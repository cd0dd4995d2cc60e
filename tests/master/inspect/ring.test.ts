import { rmSync } from 'node:fs';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, describe, expect, it, vi } from 'vitest';
import { writeHoleMask } from '../../../src/master/finish/holeMask.js';
import { inspectMaster } from '../../../src/master/inspect.js';
import { makeFolder, paint, valley } from '../mark/pictures.js';

// Perl starts slowly on a busy machine.
vi.setConfig({ testTimeout: 120_000 });

const folder = makeFolder('ring');
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const [WIDTH, HEIGHT] = [1024, 512];
/** Rows that lie in the midst of JPEG's blocks. */
const [TOP, BOTTOM] = [85, 451];
const share = (rows: number) => (1 - Math.cos((rows / HEIGHT) * Math.PI)) / 2;
const PERCENT = 100 * (share(TOP) + share(HEIGHT - BOTTOM));

describe('one colour above and below, in lossy formats whose blocks blur its edges', () => {
  it.each([
    ['black-60.jpg', 0],
    ['black-75.jpg', 0],
    ['black-90.jpg', 0],
    ['white-75.jpg', 255],
    ['white-90.jpg', 255],
    ['black-60.webp', 0],
    ['white-80.webp', 255],
  ])(
    '%s: is measured within 0.05 %% of the sphere, and masked to its very edge',
    async (name, colour) => {
      const quality = Number(/\d+/u.exec(name));
      const inRows = (y: number) => y < TOP || y >= BOTTOM;
      const picture = paint(
        WIDTH,
        HEIGHT,
        (lon, lat) =>
          inRows(Math.floor(((90 - lat) / 180) * HEIGHT))
            ? [colour, colour, colour]
            : valley(lon, lat),
        12,
      );
      const file = join(folder, name);
      const clean = await picture.raw().toBuffer();
      for (let y = 0; y < HEIGHT; y++) {
        if (inRows(y)) clean.fill(colour, 3 * y * WIDTH, 3 * (y + 1) * WIDTH);
      }
      const made = sharp(clean, { raw: { width: WIDTH, height: HEIGHT, channels: 3 } });
      await (name.endsWith('.jpg') ? made.jpeg({ quality }) : made.webp({ quality })).toFile(file);
      const inspection = await inspectMaster(file);
      expect(inspection.holes).toHaveLength(2);
      expect(Math.abs(inspection.missing.percent - PERCENT)).toBeLessThan(0.05);
      const mask = join(folder, 'mask.png');
      await writeHoleMask(inspection, mask);
      const white = await sharp(mask).extractChannel(0).raw().toBuffer();
      const left = white.filter((code, i) => code === 0 && inRows(Math.floor(i / WIDTH)));
      expect(left).toHaveLength(0);
    },
  );
});

describe('black discs in the midst of a JPEG', () => {
  /** Longitude, latitude and radius in degrees. */
  const DISCS = [
    [-120, 30, 8],
    [-40, -35, 9],
    [20, 40, 6],
    [80, -20, 5],
    [140, 10, 10],
  ] as const;
  const inDisc = (lon: number, lat: number, [east, north, radius]: (typeof DISCS)[number]) => {
    const [a, b, c] = [lat, north, lon - east].map((angle) => (angle * Math.PI) / 180);
    const cosine = Math.sin(a!) * Math.sin(b!) + Math.cos(a!) * Math.cos(b!) * Math.cos(c!);
    return cosine > Math.cos((radius * Math.PI) / 180);
  };

  it.each([60, 80, 92])(
    'are all found at quality %i, each within a tenth of its size',
    async (quality) => {
      const size = { width: 2 * WIDTH, height: 2 * HEIGHT };
      const data = await paint(size.width, size.height, valley, 12).raw().toBuffer();
      for (let i = 0; i < size.width * size.height; i++) {
        const lon = (((i % size.width) + 0.5) / size.width) * 360 - 180;
        const lat = 90 - ((Math.floor(i / size.width) + 0.5) / size.height) * 180;
        if (DISCS.some((disc) => inDisc(lon, lat, disc))) data.fill(0, 3 * i, 3 * i + 3);
      }
      const file = join(folder, 'discs.jpg');
      await sharp(data, { raw: { ...size, channels: 3 } })
        .jpeg({ quality })
        .toFile(file);
      const { holes } = await inspectMaster(file);
      expect(holes).toHaveLength(DISCS.length);
      const sizes = DISCS.map(
        ([, , radius]) => 2 * Math.PI * (1 - Math.cos((radius * Math.PI) / 180)),
      );
      sizes.sort((a, b) => b - a);
      for (const [i, { solidAngle }] of holes.entries()) {
        expect(Math.abs(solidAngle / sizes[i]! - 1)).toBeLessThan(0.1);
      }
    },
  );

  it('shadows that only end in black are none', async () => {
    const file = join(folder, 'night.jpg');
    const night = paint(2 * WIDTH, 2 * HEIGHT, (lon, lat) => {
      const light = Math.max(0, 2 * Math.hypot(lon - 40, lat + 20) - 30);
      return lat > 0 ? valley(lon, lat) : [light, light, 0.8 * light];
    });
    await night.jpeg({ quality: 80 }).toFile(file);
    expect((await inspectMaster(file)).holes).toEqual([]);
  });
});
