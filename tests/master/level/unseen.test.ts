import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, describe, expect, it } from 'vitest';
import { zenithOf } from '../../../src/master/level/turn.js';
import { findHorizon } from '../../../src/master/level.js';
import { pixels } from '../../../src/master/pixels.js';
import { photo } from '../complete/photos.js';
import { apart, rotation, times, turned } from './support.js';

const folder = mkdtempSync(join(tmpdir(), 'orbreel-unseen-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const [WIDTH, HEIGHT] = [1024, 512];

/** Whether a pixel shows nothing. */
type Hole = (x: number, y: number) => boolean;
const frame: Hole = (x, y) => x < 20 || x >= WIDTH - 17 || y < 9 || y >= HEIGHT - 11;
const caps: Hole = (_x, y) => y < 100 || y >= 440;
const tripod: Hole = (x, y) =>
  y >= 455 || (y >= 400 && [170, 510, 850].some((at) => Math.abs(x - at) < 14));
const boom: Hole = (x, y) => y >= 150 && Math.abs(x - 300 - (y - 150) / 2) < 25;

/** A photograph as a leaning camera takes it, larger, some of it one colour or transparent; as a file. */
async function write(name: string, lean: readonly [number, number], hole: Hole, alpha: number) {
  const { width, height, rgb } = await photo(name);
  const leaned = turned(pixels(width, height, rgb), rotation(0, ...lean));
  const data = await sharp(leaned.data, { raw: { width, height, channels: 3 } })
    .resize(WIDTH, HEIGHT)
    .ensureAlpha()
    .raw()
    .toBuffer();
  for (let i = 0; i < WIDTH * HEIGHT; i++) {
    if (hole(i % WIDTH, Math.floor(i / WIDTH))) data.set([0, 0, 0, alpha], 4 * i);
  }
  const file = join(folder, 'leaning.png');
  const drawn = sharp(data, { raw: { width: WIDTH, height: HEIGHT, channels: 4 } });
  await (alpha === 255 ? drawn.removeAlpha() : drawn).png().toFile(file);
  return file;
}

describe('parts that show nothing', () => {
  it.each([
    ['park', 'a black frame', frame, 255],
    ['park', 'black caps', caps, 255],
    ['park', 'a black boom', boom, 255],
    ['dawn', 'a black frame', frame, 255],
    ['dawn', 'a transparent boom', boom, 0],
    ['sunrise', 'black caps', caps, 255],
    ['city', 'a black frame', frame, 255],
    ['city', 'a black tripod', tripod, 255],
    ['city', 'transparent caps', caps, 0],
  ] as const)(
    '%s with %s: they change nothing by more than 0.7 degrees',
    async (name, _what, hole, alpha) => {
      const lean = [7, -11] as const;
      const whole = await findHorizon(await write(name, lean, () => false, 255));
      const found = await findHorizon(await write(name, lean, hole, alpha));
      expect(whole.sure).toBe(true);
      expect(found.sure).toBe(true);
      expect(apart(zenithOf(found), zenithOf(whole))).toBeLessThan(0.7);
      // All of these stand within 1.7 degrees of upright by themselves.
      expect(apart(times(rotation(0, ...lean), zenithOf(found)), [0, 1, 0])).toBeLessThan(2.4);
    },
  );
});
