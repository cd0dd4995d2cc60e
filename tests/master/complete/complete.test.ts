import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { InputError, Interrupted } from '../../../src/errors.js';
import { generator } from '../../../src/master/complete/random.js';
import { type CompleteOptions, completeMaster } from '../../../src/master/complete.js';

vi.setConfig({ testTimeout: 60_000 });

let folder = '';
const at = (name: string) => join(folder, name);

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'orbreel-complete-'));
});
afterEach(() => rmSync(folder, { recursive: true }));

type Pixel = (x: number, y: number) => readonly number[];

/** Writes a picture from a function of its pixels. */
async function draw(name: string, width: number, height: number, pixel: Pixel, depth: 8 | 16 = 8) {
  const channels = pixel(0, 0).length as 1 | 3 | 4;
  const data =
    depth === 8
      ? new Uint8Array(width * height * channels)
      : new Uint16Array(width * height * channels);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) data.set(pixel(x, y), (y * width + x) * channels);
  }
  const picture = sharp(data, { raw: { width, height, channels } });
  await (depth === 16 ? picture.toColourspace('rgb16') : picture).toFile(at(name));
  return data;
}

/** Sky above, ground below, both with grain; opaque. */
function landscape(width: number, height: number, seed = 1): Pixel {
  const random = generator(seed);
  const grain = Float64Array.from({ length: width * height }, () => 12 * random() - 6);
  return (x, y) => {
    const g = grain[y * width + x]!;
    const t = y / height;
    return t < 0.5
      ? [90 + 120 * t + g, 130 + 100 * t + g, 210 + g]
      : [120 + g, 100 + 3 * g, 60 + g];
  };
}

const run = (options: Partial<CompleteOptions> = {}) =>
  completeMaster({ input: at('in.png'), output: at('out.png'), ...options });

async function pixels(name: string) {
  return sharp(at(name)).raw().toBuffer({ resolveWithObject: true });
}

describe('completeMaster', () => {
  it('places a partial master, fills the rest, keeps every known pixel, and reports', async () => {
    const known = await draw('in.png', 256, 88, landscape(256, 128));
    const steps: number[] = [];
    const report = await run({
      place: { horizonRow: 44 },
      onProgress: (_, share) => steps.push(share),
    });
    const { data, info } = await pixels('out.png');
    expect([info.width, info.height, info.channels]).toEqual([256, 128, 3]);
    expect(Buffer.compare(data.subarray(20 * 256 * 3, 108 * 256 * 3), Buffer.from(known))).toBe(0);
    expect(report.placed).toEqual({ left: 0, top: 20, width: 256, height: 88 });
    expect(report.holes.map((h) => Math.round(h.centre.latitude)).sort()).toEqual([-90, 90]);
    expect(report.holes.map((h) => h.pixels)).toEqual([5120, 5120]);
    // A zone's share of the sphere is the sine of its latitude: 44 of 128 rows to either side.
    expect(report.known).toBeCloseTo(Math.sin((44 / 128) * Math.PI), 2);
    expect(steps[0]).toBe(0);
    expect(steps.at(-1)).toBe(1);
    expect(steps.every((s, i) => i === 0 || s >= steps[i - 1]! - 1e-9)).toBe(true);
    expect(readdirSync(folder).sort()).toEqual(['in.png', 'out.png']);
  });

  it('gives the same file for the same seed, and another for another', async () => {
    await draw('in.png', 256, 108, landscape(256, 128));
    const place = { bottomLatitude: -90 };
    await run({ place, output: at('a.png'), seed: 7 });
    await run({ place, output: at('b.png'), seed: 7 });
    await run({ place, output: at('c.png'), seed: 8 });
    const [a, b, c] = ['a', 'b', 'c'].map((n) => readFileSync(at(`${n}.png`))) as [
      Buffer,
      Buffer,
      Buffer,
    ];
    expect(a.equals(b)).toBe(true);
    expect(a.equals(c)).toBe(false);
  });

  it('keeps 16 bit, the colour profile and EXIF', async () => {
    const pixel: Pixel = (x, y) => [
      (x * 251 + 3) % 65536,
      (y * 499 + 77) % 65536,
      (x * y * 13) % 65536,
    ];
    await draw('plain.png', 256, 118, pixel, 16);
    await sharp(at('plain.png'))
      .toColourspace('rgb16')
      .withIccProfile('p3', { attach: true })
      .withExif({ IFD0: { Copyright: 'the author' } })
      .toFile(at('in16.png'));
    const report = await run({
      input: at('in16.png'),
      output: at('out16.png'),
      place: { bottomLatitude: -90 },
    });
    expect(report.canvas).toEqual({ width: 256, height: 128, depth: 16 });
    const [before, after] = await Promise.all(
      ['in16.png', 'out16.png'].map((n) => sharp(at(n)).metadata()),
    );
    expect(after!.depth).toBe('ushort');
    expect(after!.icc!.equals(before!.icc!)).toBe(true);
    expect(after!.exif!.includes('the author')).toBe(true);
    const raw = (name: string) =>
      sharp(at(name), { ignoreIcc: true })
        .toColourspace('rgb16')
        .raw({ depth: 'ushort' })
        .toBuffer();
    const [known, whole] = [await raw('in16.png'), await raw('out16.png')];
    expect(whole.subarray(10 * 256 * 6).equals(known)).toBe(true);
  });

  it('fills transparent pixels and masked ones, also across the seam', async () => {
    const base = landscape(256, 128);
    const hole = (x: number, y: number) => (x < 6 || x > 249) && y > 60 && y < 72;
    const known = await draw('in.png', 256, 128, (x, y) =>
      hole(x, y) ? [0, 0, 0, 0] : [...base(x, y), 255],
    );
    await draw('mask.png', 256, 128, (x, y) =>
      x > 100 && x < 110 && y > 20 && y < 30 ? [255] : [0],
    );
    const report = await run({ mask: at('mask.png') });
    expect(report.holes.map((h) => h.pixels)).toEqual([12 * 11, 81]);
    expect(Math.abs(report.holes[0]!.centre.longitude)).toBeGreaterThan(179);
    const { data } = await pixels('out.png');
    let changed = 0;
    for (let i = 0; i < 256 * 128; i++) {
      const [x, y] = [i % 256, Math.floor(i / 256)];
      const missing = hole(x, y) || (x > 100 && x < 110 && y > 20 && y < 30);
      if (!missing)
        for (let c = 0; c < 3; c++) changed += data[3 * i + c] === known[4 * i + c] ? 0 : 1;
      else expect(data[3 * i]! + data[3 * i + 1]! + data[3 * i + 2]!).toBeGreaterThan(150);
    }
    expect(changed).toBe(0);
  });

  it('copes with more than a hundred specks', async () => {
    const base = landscape(512, 256);
    await draw('in.png', 512, 256, (x, y) =>
      x % 41 === 0 && y % 19 === 0 ? [0, 0, 0, 0] : [...base(x, y), 255],
    );
    const report = await run();
    expect(report.holes.length).toBeGreaterThan(120);
    const { data } = await pixels('out.png');
    for (let y = 19; y < 120; y += 19) {
      for (let x = 0; x < 512; x += 41)
        expect(Math.abs(data[3 * (y * 512 + x) + 2]! - 210)).toBeLessThan(12);
    }
  }, 60_000);

  it('fills smoothly with the surroundings’ own grain', async () => {
    const base = landscape(512, 256);
    await draw('in.png', 512, 256 - 43, (x, y) => base(x, y + 43));
    const { holes } = await run({ fill: 'smooth', place: { bottomLatitude: -90 } });
    // Even between -6 and 6: a standard deviation of 12 / sqrt(12).
    expect(holes[0]!.noise).toBeGreaterThan(2.4);
    expect(holes[0]!.noise).toBeLessThan(4.2);
    const { data } = await pixels('out.png');
    let squares = 0;
    let n = 0;
    for (let x = 1; x < 512; x++) {
      squares += (data[3 * (40 * 512 + x)]! - data[3 * (40 * 512 + x - 1)]!) ** 2;
      n++;
    }
    // Neighbouring columns there are half a pixel apart on the sphere, so alike in part.
    expect(Math.sqrt(squares / n / 2)).toBeGreaterThan(1);
    expect(Math.sqrt(squares / n / 2)).toBeLessThan(4.5);
  });

  it('fills with a colour, softly from the rim', async () => {
    await draw('in.png', 256, 96, () => [200, 200, 200]);
    await run({ fill: 'colour', colour: [10, 20, 30], place: { bottomLatitude: -90 } });
    const { data } = await pixels('out.png');
    expect([...data.subarray(0, 3)]).toEqual([10, 20, 30]);
    const reds = [31, 30, 28, 20].map((row) => data[row * 256 * 3]!);
    expect(reds[0]).toBeGreaterThan(90);
    expect(reds[1]).toBeLessThan(reds[0]!);
    expect(reds[2]).toBeLessThan(reds[1]!);
    expect(reds[3]).toBe(10);
  });

  it('lays a round patch over the nadir, its top to the master’s centre, feathered', async () => {
    await draw('in.png', 256, 128, () => [100, 100, 100]);
    // Red above, blue below; green at the right edge.
    await draw('mark.png', 64, 64, (x, y) =>
      x > 48 ? [0, 255, 0] : y < 32 ? [255, 0, 0] : [0, 0, 255],
    );
    const report = await run({
      fill: 'patch',
      patch: { image: at('mark.png'), radius: 20, feather: 4 },
    });
    expect(report.patched).toBe(true);
    const { data } = await pixels('out.png');
    const colour = (longitude: number, below: number) => {
      const x = Math.floor((longitude / 360 + 0.5) * 256);
      const y = 127 - Math.floor((below / 180) * 128);
      return [...data.subarray(3 * (y * 256 + x), 3 * (y * 256 + x) + 3)];
    };
    expect(colour(0.5, 8)).toEqual([255, 0, 0]);
    expect(colour(179.5, 8)).toEqual([0, 0, 255]);
    const [r, g, b] = colour(90, 14) as [number, number, number];
    expect([r < 16, g > 239, b < 16]).toEqual([true, true, true]);
    expect(colour(-90.5, 21)).toEqual([100, 100, 100]);
    const [red] = colour(0.5, 18);
    expect(red).toBeGreaterThan(110);
    expect(red).toBeLessThan(245);
  });
});

describe('completeMaster refuses', () => {
  const sky: Pixel = () => [90, 120, 200];
  const fails = async (message: RegExp, options: Partial<CompleteOptions> = {}) => {
    const before = readdirSync(folder).sort();
    const failure = await run(options).catch((error: unknown) => error);
    expect(failure).toBeInstanceOf(InputError);
    expect((failure as Error).message).toMatch(message);
    expect(readdirSync(folder).sort()).toEqual(before);
  };

  it('files that are missing, empty, truncated or no picture', async () => {
    await fails(/in\.png: expected a picture that can be read, found: /);
    writeFileSync(at('in.png'), '');
    await fails(/expected a picture that can be read/);
    writeFileSync(at('in.png'), 'no picture at all');
    await fails(/expected a picture that can be read/);
    await draw('whole.png', 512, 256, landscape(512, 256));
    writeFileSync(at('in.png'), readFileSync(at('whole.png')).subarray(0, 30_000));
    await fails(/in\.png: expected a whole picture, found/);
  });

  it('a picture that is not 2:1 and not placed, naming the choices', async () => {
    await draw('in.png', 64, 20, sky);
    await fails(/in\.png: expected a picture twice as wide as high, found 64x20\. Say where/);
  });

  it('CMYK and animated pictures', async () => {
    await draw('a.png', 64, 32, sky);
    await sharp(at('a.png')).toColourspace('cmyk').jpeg().toFile(at('cmyk.jpg'));
    await fails(/expected RGB or grey, found CMYK/, { input: at('cmyk.jpg') });
    const frames = Buffer.alloc(64 * 64 * 3, 9);
    frames.fill(200, 64 * 32 * 3);
    await sharp(frames, { raw: { width: 64, height: 64, channels: 3, pageHeight: 32 } })
      .gif()
      .toFile(at('moving.gif'));
    await fails(/expected a single picture, found 2 frames/, { input: at('moving.gif') });
  });

  it('a sphere of which nearly nothing is known', async () => {
    await draw('in.png', 16, 8, sky);
    await fails(/too little of the sphere is known/, {
      place: { full: { width: 256, height: 128 }, left: 100, top: 60 },
    });
  });

  it('options that contradict or overwrite, all at once', async () => {
    await draw('in.png', 64, 32, sky);
    await draw('out.png', 64, 32, sky);
    await fails(/out\.png: exists already/);
    await fails(/never overwritten/, { output: at('in.png'), overwrite: true });
    await fails(/expected an ending from \.jpg.*found "\.bmp"/, { output: at('out.bmp') });
    await fails(/seed: expected a whole number, found 0\.5\.\n.*exists already/, { seed: 0.5 });
    await fails(/"patch" needs a picture/, { fill: 'patch', overwrite: true });
    await fails(/patch radius of more than 0 and at most 90 degrees, found 120/, {
      overwrite: true,
      patch: { image: at('in.png'), radius: 120 },
    });
    await fails(/existing folder/, { output: join(folder, 'none', 'out.png') });
  });

  it('a mask of another size', async () => {
    await draw('in.png', 64, 32, sky);
    await draw('mask.png', 30, 30, () => [0]);
    await fails(/mask\.png: expected a mask of the master's 64x32 pixels.*found 30x30/, {
      mask: at('mask.png'),
    });
  });

  it('to go on when stopped, and leaves nothing', async () => {
    await draw('in.png', 256, 100, landscape(256, 128));
    const stop = new AbortController();
    const stopped = run({
      place: { bottomLatitude: -90 },
      signal: stop.signal,
      onProgress: (step) => step === 'filling' && stop.abort(),
    });
    await expect(stopped).rejects.toBeInstanceOf(Interrupted);
    expect(existsSync(at('out.png'))).toBe(false);
    expect(readdirSync(folder)).toEqual(['in.png']);
  });
});
