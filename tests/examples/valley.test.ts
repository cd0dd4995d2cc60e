import { createHash } from 'node:crypto';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { SUN } from '../../src/demo/place.js';
import { makeValley } from '../../src/demo/valley.js';
import { type GlContext, openContext } from '../../src/render/context.js';

const WIDTH = 512;
const HEIGHT = WIDTH / 2;

let folder: string;
let context: GlContext;
let file: string;
let pixels: Uint8Array;
const shares: number[] = [];

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'valley-'));
  context = await openContext();
  file = join(folder, 'valley.jpg');
  await makeValley({ width: WIDTH, file, context, onProgress: (share) => shares.push(share) });
  pixels = new Uint8Array(await sharp(file).raw().toBuffer());
}, 120_000);

afterAll(async () => {
  context?.close();
  await rm(folder, { recursive: true, force: true });
});

const at = (x: number, y: number): [number, number, number] => {
  const i = (y * WIDTH + ((x + WIDTH) % WIDTH)) * 3;
  return [pixels[i] as number, pixels[i + 1] as number, pixels[i + 2] as number];
};

/** Mean absolute difference of two columns or rows of pixels, in levels of 255. */
function difference(
  length: number,
  one: (i: number) => number[],
  other: (i: number) => number[],
): number {
  let sum = 0;
  for (let i = 0; i < length; i++) {
    const [a, b] = [one(i), other(i)];
    for (let k = 0; k < 3; k++) sum += Math.abs((a[k] as number) - (b[k] as number));
  }
  return sum / (3 * length);
}

describe('the demo master', () => {
  it('is a whole 2:1 JPEG sphere with an sRGB profile and its marks', async () => {
    const facts = await sharp(file).metadata();
    expect(facts).toMatchObject({
      format: 'jpeg',
      width: WIDTH,
      height: HEIGHT,
      channels: 3,
      hasProfile: true,
    });
    expect(facts.icc?.toString('latin1')).toContain('\0s\0R\0G\0B');
    expect(facts.xmp?.toString()).toContain('GPano:ProjectionType="equirectangular"');
    expect(facts.xmp?.toString()).toContain(`GPano:FullPanoWidthPixels="${WIDTH}"`);
  });

  it('has no seam: the join differs no more than the columns beside it do', () => {
    const step = (x: number) =>
      difference(
        HEIGHT,
        (y) => at(x, y),
        (y) => at(x + 1, y),
      );
    const beside = [-6, -5, -4, -3, -2, 0, 1, 2, 3, 4, 5].map(step);
    expect(step(-1)).toBeLessThanOrEqual(Math.max(...beside) * 1.1);
  });

  it.each([
    ['zenith', 0],
    ['nadir', HEIGHT - 1],
  ])('is one point at the %s: its row hardly changes along it', (_, y) => {
    const steps = Array.from({ length: WIDTH }, (_unused, x) =>
      difference(
        1,
        () => at(x, y),
        () => at(x + 1, y),
      ),
    );
    expect(Math.max(...steps)).toBeLessThan(24);
    const means = [0, 1, 2].map((k) => {
      const values = Array.from({ length: WIDTH }, (_unused, x) => at(x, y)[k] as number);
      const mean = values.reduce((a, b) => a + b) / WIDTH;
      return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / WIDTH);
    });
    expect(Math.max(...means)).toBeLessThan(12);
  });

  it('shows the sun where the plan puts it', () => {
    let [best, x, y] = [-1, 0, 0];
    for (let row = 0; row < HEIGHT * 0.48; row++) {
      for (let column = 0; column < WIDTH; column++) {
        const light = blur(column, row);
        if (light > best) [best, x, y] = [light, column, row];
      }
    }
    // Texel centres at half-integers: u = lon/360 + 1/2, v = 1/2 - lat/180.
    const longitude = ((x + 0.5) / WIDTH - 0.5) * 360;
    const latitude = (0.5 - (y + 0.5) / HEIGHT) * 180;
    expect(Math.abs(longitude - SUN.longitude)).toBeLessThan(2);
    expect(Math.abs(latitude - SUN.latitude)).toBeLessThan(2);
  });

  it('is blue overhead and grassy below', () => {
    const mean = (y: number) =>
      [0, 1, 2].map(
        (k) =>
          Array.from({ length: WIDTH }, (_, x) => at(x, y)[k] as number).reduce((a, b) => a + b) /
          WIDTH,
      );
    const [zr, zg, zb] = mean(1) as [number, number, number];
    const [nr, ng, nb] = mean(HEIGHT - 2) as [number, number, number];
    expect(zb).toBeGreaterThan(zg);
    expect(zg).toBeGreaterThan(zr);
    expect(ng).toBeGreaterThan(nb);
    expect(nr).toBeGreaterThan(nb);
  });

  it('refuses a width that cannot be tiled', async () => {
    await expect(makeValley({ width: 1001, file, context })).rejects.toThrow(
      "The demo master's width must be a multiple of 16 from 256 up (above 8192, of 1024), not 1001.",
    );
  });

  it('tells its progress, always upwards, up to the end', () => {
    expect(shares).toEqual(shares.toSorted((a, b) => a - b));
    expect(shares.at(-1)).toBe(1);
  });

  it('comes out the same twice, byte for byte', async () => {
    const again = join(folder, 'again.jpg');
    await makeValley({ width: WIDTH, file: again, context });
    const digest = async (path: string) =>
      createHash('sha256')
        .update(await readFile(path))
        .digest('hex');
    expect(await digest(again)).toBe(await digest(file));
  }, 120_000);
});

/** Mean brightness of 5 x 5 pixels. */
function blur(x: number, y: number): number {
  let sum = 0;
  for (let dy = -2; dy <= 2; dy++) {
    for (let dx = -2; dx <= 2; dx++) {
      const [r, g, b] = at(x + dx, Math.max(0, y + dy));
      sum += 0.2126 * r + 0.7152 * g + 0.0722 * b;
    }
  }
  return sum;
}
