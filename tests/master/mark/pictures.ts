import { execFileSync } from 'node:child_process';
import { mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp, { type Sharp } from 'sharp';

/** A folder of its own for one test file's pictures, which the tests make themselves. */
export const makeFolder = (name: string): string => mkdtempSync(join(tmpdir(), `orbreel-${name}-`));

export const run = (program: string, ...args: string[]): string =>
  execFileSync(program, args, {
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'ignore'],
    maxBuffer: 2 ** 28,
  });

/** Noise that repeats exactly and depends on nothing: a 32-bit linear congruential generator. */
function noise(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

export type Rgb = readonly [number, number, number];

/** Pixels from a function of longitude and latitude in degrees, with some noise in codes. */
export function paint(
  width: number,
  height: number,
  colour: (longitude: number, latitude: number) => Rgb,
  grain = 4,
): Sharp {
  const random = noise(7);
  const data = Buffer.alloc(3 * width * height);
  for (let y = 0; y < height; y += 1) {
    for (let x = 0; x < width; x += 1) {
      const at = colour(((x + 0.5) / width) * 360 - 180, 90 - ((y + 0.5) / height) * 180);
      for (let c = 0; c < 3; c += 1) {
        const code = (at[c] ?? 0) + grain * (random() - 0.5);
        data[3 * (y * width + x) + c] = Math.max(0, Math.min(255, Math.round(code)));
      }
    }
  }
  return sharp(data, { raw: { width, height, channels: 3 } });
}

/** A valley in three colours: sky above, a ridge that goes all round without a step, meadow below. */
export function valley(longitude: number, latitude: number): Rgb {
  const turn = (longitude * Math.PI) / 180;
  const ridge = 6 * Math.sin(3 * turn) + 3 * Math.sin(8 * turn);
  if (latitude > ridge) return [90 + latitude / 2, 140 + latitude / 2, 220];
  const level = Math.cos((latitude * Math.PI) / 180);
  return [70 + 30 * level * Math.sin(20 * turn), 110 + latitude / 2, 60];
}

/** Decoded pixels as stored, without turning or converting them. */
export const pixels = (file: string): Promise<Buffer> =>
  sharp(file, { ignoreIcc: true, limitInputPixels: false }).raw({ depth: 'ushort' }).toBuffer();

/** Tags with their groups, as ExifTool reads them. */
export const exifTags = (file: string, ...args: string[]): Record<string, unknown> =>
  JSON.parse(run('exiftool', '-json', '-G1', '-a', '-n', ...args, file))[0];
