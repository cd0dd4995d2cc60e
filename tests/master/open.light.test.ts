import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { encodeSrgb } from '../../src/colour.js';
import { InputError } from '../../src/errors.js';
import { checkMaster, openMaster } from '../../src/master/open.js';

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(path.join(tmpdir(), 'orbreel-light-'));
});
afterAll(() => rmSync(folder, { recursive: true }));
const at = (name: string) => path.join(folder, name);

const WIDTH = 64;
const HEIGHT = 32;
const FFMPEG = process.env.FFMPEG_BIN ?? 'ffmpeg';

/** Light of one pixel, red first; the pixels' differ, and so do the channels. */
const lightAt = (pixel: number, channel: number) => ((pixel * 3 + channel) % 997) / 996;

/** Writes an OpenEXR picture with ffmpeg from light by pixel and channel (3 is alpha). */
function writeExr(
  name: string,
  channels: 1 | 3 | 4,
  light: (pixel: number, channel: number) => number,
): void {
  // ffmpeg's planes: green, blue, red, alpha.
  const planes = { 1: [0], 3: [1, 2, 0], 4: [1, 2, 0, 3] }[channels];
  const data = Float32Array.from({ length: WIDTH * HEIGHT * channels }, (_, i) =>
    light(i % (WIDTH * HEIGHT), planes[Math.floor(i / (WIDTH * HEIGHT))]!),
  );
  const format = { 1: 'grayf32le', 3: 'gbrpf32le', 4: 'gbrapf32le' }[channels];
  const size = `${WIDTH}x${HEIGHT}`;
  const raw = ['-f', 'rawvideo', '-pix_fmt', format, '-s', size, '-i', '-'];
  execFileSync(FFMPEG, ['-v', 'error', '-y', ...raw, '-c:v', 'exr', '-format', 'float', at(name)], {
    input: Buffer.from(data.buffer),
  });
}

const encoded = (light: number, depth: 8 | 16) => Math.round((2 ** depth - 1) * encodeSrgb(light));

describe('OpenEXR', () => {
  it.each([8, 16] as const)('is linear light, encoded as sRGB in %i bits', async (depth) => {
    writeExr('plain.exr', 3, lightAt);
    const master = await openMaster(at('plain.exr'), { keepDepth: depth === 16 });
    expect(master).toMatchObject({ width: WIDTH, height: HEIGHT, depth });
    for (const [i, code] of master.data.entries()) {
      const exact = encoded(lightAt(Math.floor(i / 3), i % 3), depth);
      expect(Math.abs(code - exact)).toBeLessThanOrEqual(depth === 8 ? 0 : 1);
    }
    expect(await checkMaster(at('plain.exr'))).toMatchObject({ width: WIDTH, height: HEIGHT });
  });

  it('is clipped at 1; what is no number is black', async () => {
    const odd = [Number.NaN, Infinity, -Infinity, -0.5, 0, 1, 1.0001, 70000, 1e-12];
    writeExr('odd.exr', 3, (pixel) => odd[pixel % odd.length]!);
    const { data } = await openMaster(at('odd.exr'));
    expect(odd.map((_, pixel) => data[pixel * 3])).toEqual([0, 255, 0, 0, 0, 255, 255, 255, 0]);
  });

  it('of one channel is grey', async () => {
    writeExr('grey.exr', 1, (pixel) => lightAt(pixel, 0));
    const { data } = await openMaster(at('grey.exr'));
    for (const [i, code] of data.entries())
      expect(code).toBe(encoded(lightAt(Math.floor(i / 3), 0), 8));
  });

  it('has its alpha multiplied in already', async () => {
    writeExr('clear.exr', 4, (pixel, channel) =>
      channel === 3 ? (pixel % 5) / 4 : 0.1 * (pixel % 5),
    );
    const { data } = await openMaster(at('clear.exr'), { background: [255, 0, 255] });
    for (let pixel = 0; pixel < 5; pixel++) {
      const own = 0.1 * pixel;
      const behind = 1 - pixel / 4;
      expect([...data.subarray(pixel * 3, pixel * 3 + 3)]).toEqual(
        [own + behind, own, own + behind].map((light) => encoded(light, 8)),
      );
    }
  });

  it('cut short or damaged is no master', async () => {
    writeExr('whole.exr', 3, lightAt);
    const bytes = readFileSync(at('whole.exr'));
    writeFileSync(at('cut.exr'), bytes.subarray(0, bytes.length * 0.6));
    writeFileSync(at('magic.exr'), bytes.subarray(0, 8));
    for (const [name, words] of [
      ['cut.exr', /cut\.exr: expected a whole picture, but it could not be decoded \(.+\): export/],
      [
        'magic.exr',
        /magic\.exr: expected an OpenEXR picture that ffmpeg can read, found something/,
      ],
    ] as const) {
      const error = await openMaster(at(name)).catch((e: unknown) => e);
      expect(error).toBeInstanceOf(InputError);
      expect((error as InputError).message).toMatch(words);
    }
  });
});

describe('Radiance HDR', () => {
  /** Red, green, blue and exponent of one pixel. */
  const quad = (pixel: number) => [(pixel * 7) % 256, (pixel * 3) % 256, 200, 120 + (pixel % 10)];
  const light = (pixel: number, c: number) => {
    const [, , , exponent] = quad(pixel) as [number, number, number, number];
    return Math.min(1, ((quad(pixel)[c]! + 0.5) / 256) * 2 ** (exponent - 128));
  };
  const head = (format = '32-bit_rle_rgbe', size = `-Y ${HEIGHT} +X ${WIDTH}`) =>
    Buffer.from(`#?RADIANCE\n# made by a test\nFORMAT=${format}\n\n${size}\n`, 'latin1');
  const plain = () => Buffer.from(Array.from({ length: WIDTH * HEIGHT }, (_, i) => quad(i)).flat());

  /** The same run-length coded: each row's channels as one literal of 20 and, where all are equal, runs. */
  const coded = () => {
    const out: number[] = [];
    for (let y = 0; y < HEIGHT; y++) {
      out.push(2, 2, WIDTH >> 8, WIDTH & 255);
      for (let c = 0; c < 4; c++) {
        const row = Array.from({ length: WIDTH }, (_, x) => quad(y * WIDTH + x)[c]!);
        if (row.every((value) => value === row[0])) out.push(128 + WIDTH, row[0]!);
        else out.push(20, ...row.slice(0, 20), WIDTH - 20, ...row.slice(20));
      }
    }
    return Buffer.from(out);
  };

  it.each([
    ['plain', plain],
    ['run-length coded', coded],
  ] as const)('is read: %s', async (_, pixels) => {
    writeFileSync(at('a.hdr'), Buffer.concat([head(), pixels()]));
    const master = await openMaster(at('a.hdr'), { keepDepth: true });
    expect(master).toMatchObject({ width: WIDTH, height: HEIGHT, depth: 16 });
    for (const [i, code] of master.data.entries()) {
      expect(Math.abs(code - encoded(light(Math.floor(i / 3), i % 3), 16))).toBeLessThanOrEqual(1);
    }
  });

  it.each([
    [
      'ends early',
      () => Buffer.concat([head(), coded().subarray(0, 500)]),
      /the picture ends early/,
    ],
    [
      'ends early',
      () => Buffer.concat([head(), plain().subarray(0, 500)]),
      /the picture ends early/,
    ],
    [
      'is of XYZ',
      () => Buffer.concat([head('32-bit_rle_xyze'), plain()]),
      /found another kind: save it as OpenEXR$/,
    ],
    [
      'lies on its side',
      () => Buffer.concat([head(undefined, '+X 64 -Y 32'), plain()]),
      /found another kind/,
    ],
    ['is too large', () => head(undefined, '-Y 100000 +X 200000'), /claims 200000x100000 pixels/],
    ['is square', () => head(undefined, '-Y 64 +X 64'), /twice as wide as high, found 64x64/],
  ] as const)('is refused when it %s', async (_, bytes, words) => {
    writeFileSync(at('wrong.hdr'), bytes());
    const error = await openMaster(at('wrong.hdr')).catch((e: unknown) => e);
    expect(error).toBeInstanceOf(InputError);
    expect((error as InputError).message).toMatch(words);
  });
});
