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
