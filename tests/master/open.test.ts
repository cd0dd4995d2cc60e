import { execFileSync } from 'node:child_process';
import {
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  truncateSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { deflateSync } from 'node:zlib';
import sharp, { type Sharp } from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { decodeSrgb, encodeSrgb } from '../../src/colour.js';
import { InputError } from '../../src/errors.js';
import { checkMaster, openMaster, openMasterRows } from '../../src/master/open.js';
import { tiff } from '../support/tiff.js';
import { gammaCurve, greyProfile, matrixProfile } from './profiles.js';

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(path.join(tmpdir(), 'orbreel-open-'));
});
afterAll(() => rmSync(folder, { recursive: true }));
const at = (name: string) => path.join(folder, name);

const WIDTH = 64;
const HEIGHT = 32;
const most = (samples: Uint8Array | Uint16Array) => (samples instanceof Uint16Array ? 65535 : 255);

/** A picture of soft colours, unlike itself however it is turned. */
function soft(depth: 8 | 16): Uint8Array | Uint16Array {
  const count = WIDTH * HEIGHT * 3;
  const data = depth === 8 ? new Uint8Array(count) : new Uint16Array(count);
  for (let i = 0; i < WIDTH * HEIGHT; i++) {
    const [x, y] = [(i % WIDTH) / (WIDTH - 1), Math.floor(i / WIDTH) / (HEIGHT - 1)];
    for (const [c, share] of [x, y, (1 - x) * (1 - y)].entries()) {
      data[i * 3 + c] = Math.round(share * most(data));
    }
  }
  return data;
}
const SOFT = soft(8);
const DEEP = soft(16);

const from = (data: Uint8Array | Uint16Array, channels: 1 | 3 | 4 = 3): Sharp => {
  const picture = sharp(data, {
    raw: { width: WIDTH, height: data.length / WIDTH / channels, channels },
  });
  return data instanceof Uint16Array ? picture.toColourspace('rgb16') : picture;
};

const worst = (a: ArrayLike<number>, b: ArrayLike<number>): number => {
  expect(a.length).toBe(b.length);
  let most = 0;
  for (let i = 0; i < a.length; i++) most = Math.max(most, Math.abs(a[i]! - b[i]!));
  return most;
};

describe('formats', () => {
  it.each([
    ['a.png', (s: Sharp) => s.png(), 0],
    ['palette.png', (s: Sharp) => s.png({ palette: true, colours: 256, dither: 0 }), 24],
    ['plain.tif', (s: Sharp) => s.tiff({ compression: 'none' }), 0],
    ['lzw.tif', (s: Sharp) => s.tiff({ compression: 'lzw', predictor: 'horizontal' }), 0],
    ['deflate.tif', (s: Sharp) => s.tiff({ compression: 'deflate', tile: true }), 0],
    ['big.tif', (s: Sharp) => s.tiff({ compression: 'lzw', bigtiff: true }), 0],
    ['a.webp', (s: Sharp) => s.webp({ lossless: true }), 0],
    ['a.avif', (s: Sharp) => s.avif({ lossless: true, chromaSubsampling: '4:4:4' }), 2],
    ['a.jpg', (s: Sharp) => s.jpeg({ quality: 100, chromaSubsampling: '4:4:4' }), 4],
    ['name[1].jpg', (s: Sharp) => s.jpeg({ quality: 100, chromaSubsampling: '4:4:4' }), 4],
  ] as const)(
    '%s is read to the code or as its compression leaves it',
    async (name, save, codes) => {
      writeFileSync(at(name), await save(from(SOFT)).toBuffer());
      const master = await openMaster(at(name));
      expect(master).toMatchObject({ width: WIDTH, height: HEIGHT, depth: 8 });
      expect(worst(master.data, SOFT)).toBeLessThanOrEqual(codes);
    },
  );

  it('names BigTIFF by its version, 43 (BigTIFF design, libtiff)', () => {
    expect(readFileSync(at('big.tif')).readUInt16LE(2)).toBe(43);
  });

  it.each([1, 8, 16])('grey of %i bits becomes three equal channels', async (bits) => {
    const grey = Uint8Array.from({ length: WIDTH * HEIGHT }, (_, i) =>
      bits === 1 ? (i % 2) * 255 : i % 256,
    );
    const picture = from(grey, 1).toColourspace(bits === 16 ? 'grey16' : 'b-w');
    await picture.png(bits === 1 ? { palette: true, colours: 2 } : {}).toFile(at('grey.png'));
    const { data } = await openMaster(at('grey.png'));
    const seen = Uint8Array.from(
      { length: WIDTH * HEIGHT * 3 },
      (_, i) => grey[Math.floor(i / 3)]!,
    );
    expect(worst(data, seen)).toBeLessThanOrEqual(bits === 16 ? 1 : 0);
  });

  it('CMYK is converted by its profile', async () => {
    await from(SOFT).toColourspace('cmyk').withIccProfile('cmyk').tiff().toFile(at('cmyk.tif'));
    expect(await sharp(at('cmyk.tif')).metadata()).toMatchObject({ space: 'cmyk', channels: 4 });
    const { data } = await openMaster(at('cmyk.tif'));
    // Muted colours lie within the press's gamut and about come back; perceptual tables are no exact
    // inverses of each other. Read as plain inks they would be off by more than 60.
    const muted = [...SOFT.keys()].filter((i) => {
      const pixel = SOFT.subarray(i - (i % 3), i - (i % 3) + 3);
      return Math.max(...pixel) - Math.min(...pixel) < 60 && Math.min(...pixel) > 60;
    });
    const off = muted.map((i) => Math.abs(data[i]! - SOFT[i]!));
    expect(off.length).toBeGreaterThan(200);
    expect(Math.max(...off)).toBeLessThanOrEqual(26);
    expect(off.reduce((sum, codes) => sum + codes, 0) / off.length).toBeLessThan(10);
  });
});

describe('depth', () => {
  const save: Record<string, (s: Sharp) => Sharp> = {
    'deep.png': (s) => s.png(),
    'deep.tif': (s) => s.tiff({ compression: 'lzw' }),
    'deepBig.tif': (s) => s.tiff({ compression: 'deflate', bigtiff: true }),
  };

  it.each(Object.keys(save))('%s keeps its 16 bits when asked to, else rounds', async (name) => {
    writeFileSync(at(name), await save[name]!(from(DEEP)).toBuffer());
    const deep = await openMaster(at(name), { keepDepth: true });
    expect(deep.depth).toBe(16);
    expect(worst(deep.data, DEEP)).toBe(0);
    const flat = await openMaster(at(name));
    expect(flat.depth).toBe(8);
    expect(
      worst(
        flat.data,
        Uint8Array.from(DEEP, (code) => Math.round(code / 257)),
      ),
    ).toBe(0);
  });

  it.each([
    [10, 65535 / 1023],
    [12, 65535 / 4095],
  ] as const)('AVIF of %i bits spreads over all of 16', async (bitdepth, step) => {
    await from(DEEP).avif({ lossless: true, bitdepth }).toFile(at('deep.avif'));
    const { data } = await openMaster(at('deep.avif'), { keepDepth: true });
    expect(Math.max(...data)).toBe(65535);
    // Lossless in YCbCr: up to two steps.
    expect(worst(data, DEEP)).toBeLessThanOrEqual(2 * step);
  });

  it('asking for 16 bits makes none of 8', async () => {
    await from(SOFT).png().toFile(at('eight.png'));
    expect((await openMaster(at('eight.png'), { keepDepth: true })).depth).toBe(8);
  });
});

/** Applies a matrix to encoded colours in linear light; colours outside sRGB are clipped. */
function throughMatrix(
  stored: Uint8Array | Uint16Array,
  matrix: readonly (readonly number[])[],
  decode: (share: number) => number,
): number[] {
  const out: number[] = [];
  for (let i = 0; i < stored.length; i += 3) {
    const light = [0, 1, 2].map((c) => decode(stored[i + c]! / most(stored)));
    for (const row of matrix) {
      const sum = row.reduce((total, factor, c) => total + factor * light[c]!, 0);
      out.push(Math.min(1, Math.max(0, sum)));
    }
  }
  return out;
}

const lightOfCodes = (codes: Uint8Array | Uint16Array) =>
  Array.from(codes, (code) => decodeSrgb(code / most(codes)));

/** Whether the colour that channel `i` belongs to lies well within sRGB. */
const isInside = (light: readonly number[], i: number) =>
  light.slice(i - (i % 3), i - (i % 3) + 3).every((value) => value > 0.05 && value < 0.95);

/** Half an 8-bit code of linear light at white, plus what profiles' whole numbers leave open. */
const ROUNDING = { 8: 0.006, 16: 0.0006 } as const;

describe('ICC profiles', () => {
  // W3C, CSS Color Module Level 4, "Sample code for Color Conversions": lin_P3_to_XYZ, XYZ_to_lin_sRGB, multiplied.
  const P3_TO_SRGB = [
    [1.2249401762805598, -0.22494017628055996, 0],
    [-0.042056954709688163, 1.0420569547096881, 0],
    [-0.019637554590334432, -0.078636045550631889, 1.0982736001409663],
  ];

  it.each([8, 16] as const)('Display P3 of %i bits is converted', async (depth) => {
    const colours = depth === 8 ? SOFT : DEEP;
    await from(colours).withIccProfile('p3').png().toFile(at('p3.png'));
    const raw = await sharp(at('p3.png'), { ignoreIcc: true })
      .toColourspace(depth === 8 ? 'srgb' : 'rgb16')
      .raw({ depth: depth === 8 ? 'uchar' : 'ushort' })
      .toBuffer();
    const stored = depth === 8 ? raw : new Uint16Array(new Uint8Array(raw).buffer);
    const { data } = await openMaster(at('p3.png'), { keepDepth: true });
    const wanted = throughMatrix(stored, P3_TO_SRGB, decodeSrgb);
    const seen = lightOfCodes(data);
    // littleCMS converts 16 bits through a table, which is blunt where colours begin to be clipped.
    const inside = seen.map((light, i) => (isInside(wanted, i) ? light : wanted[i]!));
    expect(worst(inside, wanted)).toBeLessThan(ROUNDING[depth]);
    expect(worst(seen, wanted)).toBeLessThan(0.025);
    expect(worst(lightOfCodes(stored), wanted)).toBeGreaterThan(0.1);
  });

  it('a profile with the primaries and gamma of Adobe RGB (1998) is converted', async () => {
    // Adobe RGB (1998) Color Image Encoding, 4.3: colorants at D50, gamma 2.19921875; from memory.
    const profile = matrixProfile(
      [
        [0.60974, 0.31111, 0.01947],
        [0.20528, 0.62567, 0.06087],
        [0.14919, 0.06322, 0.74457],
      ],
      2.19921875,
    );
    writeFileSync(at('wide.icc'), profile);
    await from(SOFT)
      .withIccProfile(at('wide.icc'))
      .jpeg({ quality: 100, chromaSubsampling: '4:4:4' })
      .toFile(at('wide.jpg'));
    const stored = await sharp(at('wide.jpg'), { ignoreIcc: true }).raw().toBuffer();
    const { data } = await openMaster(at('wide.jpg'));
    // The two spaces' red and blue lie in line with sRGB's: Lindbloom, "RGB/XYZ Matrices"; from memory.
    const matrix = [
      [1.3983557, -0.3983557, 0],
      [0, 1, 0],
      [0, -0.0429329, 1.0429329],
    ];
    const wanted = throughMatrix(stored, matrix, (share) => share ** 2.19921875);
    expect(worst(lightOfCodes(data), wanted)).toBeLessThan(ROUNDING[8]);
    expect(worst(lightOfCodes(stored), wanted)).toBeGreaterThan(0.1);
  });

  it('one of grey is converted, of 16 bits too', async () => {
    const [g, a, b, c, d] = [2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045];
    const parametric = (kind: number, values: readonly number[]) => {
      const tag = Buffer.alloc(12 + 4 * values.length);
      tag.write('para', 0, 'latin1');
      tag.writeUInt16BE(kind, 8);
      for (const [i, value] of values.entries())
        tag.writeInt32BE(Math.round(value * 65536), 12 + 4 * i);
      return tag;
    };
    const table = Buffer.alloc(12 + 2 * 5);
    table.write('curv', 0, 'latin1');
    table.writeUInt32BE(5, 8);
    for (const [i, value] of [0, 1000, 9000, 30000, 65535].entries()) {
      table.writeUInt16BE(value, 12 + 2 * i);
    }
    const linear = Buffer.alloc(12);
    linear.write('curv', 0, 'latin1');
    const bent = (x: number) => Math.max(0, a * x + b) ** g;
    const kinds: [Buffer, (x: number) => number][] = [
      [gammaCurve(1.8), (x) => x ** (461 / 256)],
      [linear, (x) => x],
      [
        table,
        (x) => {
          const values = [0, 1000, 9000, 30000, 65535];
          const i = Math.min(3, Math.floor(x * 4));
          return (values[i]! + (values[i + 1]! - values[i]!) * (x * 4 - i)) / 65535;
        },
      ],
      [parametric(0, [1.5]), (x) => x ** 1.5],
      [parametric(1, [g, 1.1, -0.1]), (x) => Math.max(0, 1.1 * x - 0.1) ** g],
      [parametric(2, [g, 0.8, -0.1, 0.2]), (x) => Math.max(0, 0.8 * x - 0.1) ** g + 0.2],
      [parametric(3, [g, a, b, c, d]), (x) => (x >= d ? bent(x) : c * x)],
      [
        parametric(4, [g, 0.9 * a, b, c, d, 0.001, 0.002]),
        (x) => (x >= d ? Math.max(0, 0.9 * a * x + b) ** g + 0.001 : c * x + 0.002),
      ],
    ];
    const ramp = (top: number) =>
      Array.from({ length: WIDTH * HEIGHT }, (_, i) =>
        Math.round((i / (WIDTH * HEIGHT - 1)) * top),
      );
    const grey = (samples: Uint8Array | Uint16Array) =>
      sharp(samples, { raw: { width: WIDTH, height: HEIGHT, channels: 1 } })
        .toColourspace(most(samples) === 255 ? 'b-w' : 'grey16')
        .png()
        .toBuffer();
    const plain = await grey(Uint16Array.from(ramp(65535)));
    const opened = async (png: Buffer, curve: Buffer) => {
      writeFileSync(at('grey.png'), withProfile(png, greyProfile(curve)));
      expect((await sharp(at('grey.png')).metadata()).hasProfile).toBe(true);
      return (await openMaster(at('grey.png'), { keepDepth: true })).data;
    };
    for (const [curve, light] of kinds) {
      const wanted = ramp(65535).flatMap((code) => {
        const value = 65535 * encodeSrgb(Math.min(1, light(code / 65535)));
        return [value, value, value];
      });
      // Parameters are rounded to 1/65536, and near black sRGB is steep.
      expect(worst(await opened(plain, curve), wanted)).toBeLessThan(8);
    }
    // littleCMS says the same of 8 bits, but for the darkest, which libvips has as 8 bits of lightness on the way.
    const [curve, light] = kinds[0]!;
    const eight = await opened(await grey(Uint8Array.from(ramp(255))), curve);
    const off = ramp(255).map((code, i) => {
      const wanted = 255 * encodeSrgb(light(code / 255));
      return wanted < 24 ? 0 : Math.abs(eight[3 * i]! - wanted);
    });
    expect(Math.max(...off)).toBeLessThan(1.6);
  });

  it('one of grey that says nothing of its curve is left aside', async () => {
    const plain = await sharp(new Uint16Array(WIDTH * HEIGHT).fill(20000), {
      raw: { width: WIDTH, height: HEIGHT, channels: 1 },
    })
      .toColourspace('grey16')
      .png()
      .toBuffer();
    for (const curve of [Buffer.from('curv\0\0\0\0\0\0\x90\0', 'latin1'), Buffer.from('none')]) {
      writeFileSync(at('odd.png'), withProfile(plain, greyProfile(curve)));
      const { data } = await openMaster(at('odd.png'), { keepDepth: true });
      expect(data[0]).toBe(20000);
    }
  });
});

/** A PNG with an ICC profile put behind its header: PNG specification, 11.3.2.3. */
function withProfile(png: Buffer, profile: Buffer): Buffer {
  const body = Buffer.concat([Buffer.from('iCCPtest\0\0', 'latin1'), deflateSync(profile)]);
  const [length, check] = [Buffer.alloc(4), Buffer.alloc(4)];
  length.writeUInt32BE(body.length - 4);
  check.writeUInt32BE(crc32(body));
  return Buffer.concat([png.subarray(0, 33), length, body, check, png.subarray(33)]);
}

describe("EXIF's orientation", () => {
  /** How the upright picture is stored: place (x, y) of storage shows the upright place. EXIF 2.32, tag 274. */
  const upright: readonly ((x: number, y: number) => [number, number])[] = [
    (x, y) => [x, y],
    (x, y) => [WIDTH - 1 - x, y],
    (x, y) => [WIDTH - 1 - x, HEIGHT - 1 - y],
    (x, y) => [x, HEIGHT - 1 - y],
    (x, y) => [y, x],
    (x, y) => [WIDTH - 1 - y, x],
    (x, y) => [WIDTH - 1 - y, HEIGHT - 1 - x],
    (x, y) => [y, HEIGHT - 1 - x],
  ];

  it.each([1, 2, 3, 4, 5, 6, 7, 8])('%i is undone', async (orientation) => {
    const turned = orientation > 4;
    const [width, height] = turned ? [HEIGHT, WIDTH] : [WIDTH, HEIGHT];
    const stored = new Uint8Array(SOFT.length);
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const [u, v] = upright[orientation - 1]!(x, y);
        const from = (v * WIDTH + u) * 3;
        stored.set(SOFT.subarray(from, from + 3), (y * width + x) * 3);
      }
    }
    await sharp(stored, { raw: { width, height, channels: 3 } })
      .withMetadata({ orientation })
      .png()
      .toFile(at('turned.png'));
    expect((await sharp(at('turned.png')).metadata()).orientation).toBe(orientation);
    const master = await openMaster(at('turned.png'));
    expect(master).toMatchObject({ width: WIDTH, height: HEIGHT });
    expect(worst(master.data, SOFT)).toBe(0);
    expect(await checkMaster(at('turned.png'))).toEqual({ width: WIDTH, height: HEIGHT });
  });
});

describe('transparency', () => {
  const rgba = (depth: 8 | 16, pixel: readonly number[]) => {
    const data =
      depth === 8 ? new Uint8Array(WIDTH * HEIGHT * 4) : new Uint16Array(WIDTH * HEIGHT * 4);
    for (let i = 0; i < data.length; i++) data[i] = pixel[i % 4]!;
    return data;
  };
  const first = async (
    file: string,
    background?: readonly [number, number, number],
    keepDepth = false,
  ) => [
    ...(await openMaster(file, { keepDepth, ...(background && { background }) })).data.subarray(
      0,
      3,
    ),
  ];

  it('shows black, or the background asked for', async () => {
    await from(rgba(8, [200, 10, 30, 0]), 4)
      .png()
      .toFile(at('clear.png'));
    expect(await first(at('clear.png'))).toEqual([0, 0, 0]);
    expect(await first(at('clear.png'), [255, 200, 1])).toEqual([255, 200, 1]);
  });

  it.each([
    ['half.png', (s: Sharp) => s.png()],
    ['half.webp', (s: Sharp) => s.webp({ lossless: true })],
    ['half.tif', (s: Sharp) => s.tiff({ compression: 'lzw' })],
  ] as const)('is mixed in linear light: %s', async (name, save) => {
    await save(from(rgba(8, [0, 255, 100, 51]), 4)).toFile(at(name));
    // A fifth of the picture, four fifths of the background: 255 sRGB-encoded 0.8^(1/2.4) * 1.055 - 0.055.
    const mixed = (code: number, behind: number) =>
      Math.round(255 * encodeSrgb(0.2 * decodeSrgb(code / 255) + 0.8 * decodeSrgb(behind / 255)));
    expect(await first(at(name), [255, 0, 100])).toEqual([mixed(0, 255), mixed(255, 0), 100]);
    expect(mixed(0, 255)).toBe(231);
  });

  it('of 16 bits too', async () => {
    await from(rgba(16, [0, 65535, 30000, 0x8000]), 4)
      .png()
      .toFile(at('deepHalf.png'));
    const half = Math.round(65535 * encodeSrgb(0x8000 / 65535));
    const [r, g] = await first(at('deepHalf.png'), [0, 0, 0], true);
    expect(r).toBe(0);
    expect(Math.abs(g! - half)).toBeLessThanOrEqual(1);
    expect((await first(at('deepHalf.png'), [255, 255, 255], true))[1]).toBe(65535);
  });

  it.each([8, 16] as const)(
    'a saved selection behind it is no colour, with %i bits',
    async (depth) => {
      const plane = (code: number) =>
        (depth === 8 ? new Uint8Array(WIDTH * HEIGHT) : new Uint16Array(WIDTH * HEIGHT)).fill(code);
      const colours = depth === 8 ? SOFT : DEEP;
      const raw = { raw: { width: WIDTH, height: HEIGHT, channels: 1 as const } };
      await from(colours)
        // sharp takes typed arrays as they are, which its types leave out.
        .joinChannel([plane(most(colours)), plane(77)] as unknown as Buffer[], raw)
        .tiff({ compression: 'lzw' })
        .toFile(at('selection.tif'));
      expect((await sharp(at('selection.tif')).metadata()).channels).toBe(5);
      const { data } = await openMaster(at('selection.tif'), { keepDepth: true });
      expect(worst(data, colours)).toBe(0);
      const strips: number[] = [];
      for await (const strip of (
        await openMasterRows(at('selection.tif'), { keepDepth: true, stripBytes: 4096 })
      ).strips) {
        strips.push(...strip);
      }
      expect(worst(strips, colours)).toBe(0);
    },
  );
});

describe('reduced decoding', () => {
  beforeAll(async () => {
    await from(SOFT)
      .resize(1024, 512, { kernel: 'cubic' })
      .jpeg({ quality: 95 })
      .toFile(at('large.jpg'));
    await from(SOFT).resize(1024, 512, { kernel: 'cubic' }).png().toFile(at('large.png'));
  });

  it.each([
    [2000, 1024],
    [1024, 1024],
    [513, 1024],
    [512, 512],
    [200, 256],
    [128, 128],
    [1, 128],
  ])('%i texels asked for give %i', async (maxWidth, width) => {
    const master = await openMaster(at('large.jpg'), { maxWidth });
    expect(master).toMatchObject({ width, height: width / 2 });
    const whole = await openMaster(at('large.jpg'));
    const texel = (p: typeof master, u: number, v: number) =>
      p.data[(Math.floor(v * p.height) * p.width + Math.floor(u * p.width)) * 3]!;
    for (const u of [0.2, 0.5, 0.8]) {
      expect(Math.abs(texel(master, u, 0.5) - texel(whole, u, 0.5))).toBeLessThanOrEqual(3);
    }
  });

  it('is for JPEG alone', async () => {
    expect((await openMaster(at('large.png'), { maxWidth: 10 })).width).toBe(1024);
  });

  it('does not change what the header says', async () => {
    expect(await checkMaster(at('large.jpg'))).toEqual({ width: 1024, height: 512 });
  });
});

describe.each([
  ['as it is decoded', true],
  // As on systems without named pipes.
  ['in strips decoded for themselves', false],
])('a very large picture, %s', (_, piped) => {
  const programs = process.env.PATH;
  beforeAll(() => {
    if (!piped) process.env.PATH = at('nowhere');
  });
  afterAll(() => {
    process.env.PATH = programs;
  });

  /** A third of the soft picture and a bit. */
  const stripBytes = 2100;
  const stripsOf = async (name: string, keepDepth = false) => {
    const rows = await openMasterRows(at(name), { stripBytes, keepDepth });
    const strips: (Uint8Array | Uint16Array)[] = [];
    for await (const strip of rows.strips) strips.push(strip.slice());
    return { ...rows, strips };
  };

  it.each([
    ['strips.jpg', (s: Sharp) => s.jpeg({ quality: 100 }), 3],
    ['strips.png', (s: Sharp) => s.png(), 3],
    ['strips.tif', (s: Sharp) => s.tiff({ compression: 'lzw' }), 3],
    ['progressive.jpg', (s: Sharp) => s.jpeg({ progressive: true }), 1],
    ['interlaced.png', (s: Sharp) => s.png({ progressive: true }), 1],
    [
      'turned.tif',
      (s: Sharp) => s.withMetadata({ orientation: 3 }).tiff({ compression: 'lzw' }),
      1,
    ],
    ['strips.webp', (s: Sharp) => s.webp({ lossless: true }), 1],
  ] as const)('comes whole out of %s', async (name, save, count) => {
    writeFileSync(at(name), await save(from(SOFT)).toBuffer());
    const { width, height, depth, strips } = await stripsOf(name);
    expect({ width, height, depth }).toEqual({ width: WIDTH, height: HEIGHT, depth: 8 });
    expect(strips.length).toBe(piped ? 4 : count);
    for (const strip of strips) expect(strip.length % (3 * WIDTH)).toBe(0);
    const whole = await openMaster(at(name));
    expect(
      worst(
        strips.flatMap((strip) => [...strip]),
        whole.data,
      ),
    ).toBe(0);
    expect(worst((await openMaster(at(name), { stripBytes })).data, whole.data)).toBe(0);
  });

  it('keeps 16 bits', async () => {
    writeFileSync(at('strips16.png'), await from(DEEP).png().toBuffer());
    const { depth, strips } = await stripsOf('strips16.png', true);
    expect(depth).toBe(16);
    expect(strips.length).toBe(piped ? 7 : 6);
    expect(
      worst(
        strips.flatMap((strip) => [...strip]),
        DEEP,
      ),
    ).toBe(0);
  });

  it('is laid over the background where it is transparent', async () => {
    const rgba = new Uint8Array(WIDTH * HEIGHT * 4).map((_, i) => (i * 37) % 256);
    const raw = { width: WIDTH, height: HEIGHT, channels: 4 as const };
    writeFileSync(at('clear.png'), await sharp(rgba, { raw }).png().toBuffer());
    const { data } = await openMaster(at('clear.png'));
    expect(worst((await openMaster(at('clear.png'), { stripBytes })).data, data)).toBe(0);
  });

  it('tells damage that comes late', async () => {
    const data = await from(SOFT).png({ compressionLevel: 0 }).toBuffer();
    writeFileSync(at('late.png'), data.subarray(0, data.length * 0.8));
    await expect(stripsOf('late.png')).rejects.toThrow(/late\.png: expected a whole picture, but/);
  });

  it('leaves nothing behind when it is given up', async () => {
    const ours = () => readdirSync(tmpdir()).filter((name) => name.startsWith('.orbreel-pipe'));
    const before = ours();
    writeFileSync(at('given-up.png'), await from(SOFT).png().toBuffer());
    const { strips } = await openMasterRows(at('given-up.png'), { stripBytes });
    for await (const strip of strips) {
      expect(strip.length).toBeGreaterThan(0);
      break;
    }
    // Other tests' pipes may come and go meanwhile.
    const left = ours().filter((name) => !before.includes(name));
    await expect.poll(() => ours().filter((name) => left.includes(name))).toEqual([]);
  });
});

describe('what is no master', () => {
  const fails = async (name: string, words: RegExp) => {
    const error = await openMaster(at(name)).catch((e: unknown) => e);
    expect(error).toBeInstanceOf(InputError);
    expect((error as InputError).message).toMatch(words);
    expect((error as InputError).problems[0]!.place).toBe(at(name));
  };

  it('names what is missing', async () => {
    mkdirSync(at('folder'));
    await fails(
      'none.jpg',
      /none\.jpg: expected the master, a picture file; there is no such file$/,
    );
    await fails('folder', /folder: expected the master, a picture file; this is a folder$/);
  });

  it.each([
    ['empty', ''],
    ['words', 'This is no picture, but some words in a row.'],
    ['a start only', '\xff\xd8\xff\xe0'],
  ])('tells %s from a picture', async (_, content) => {
    writeFileSync(at('wrong.jpg'), content, 'latin1');
    await fails(
      'wrong.jpg',
      /wrong\.jpg: expected a JPEG, PNG, TIFF, WebP, AVIF, OpenEXR or Radiance HDR picture, found something else \(.+\)$/,
    );
  });

  it.each([
    ['cut.jpg', (s: Sharp) => s.jpeg({ quality: 100 })],
    ['cut.png', (s: Sharp) => s.png({ compressionLevel: 0 })],
    ['cut.tif', (s: Sharp) => s.tiff({ compression: 'none' })],
    ['cut.webp', (s: Sharp) => s.webp({ lossless: true })],
    ['cut.avif', (s: Sharp) => s.avif({ lossless: true })],
  ] as const)('does not take the rest of %s for black', async (name, save) => {
    const data = await save(from(SOFT)).toBuffer();
    writeFileSync(at(name), data.subarray(0, Math.floor(data.length * 0.6)));
    await fails(
      name,
      /cut\.\w+: expected a (whole picture, but it could not be decoded|JPEG, PNG.*found something else) \(.+\)/,
    );
  });

  it.each([
    ['an AVI video', 'avi', []],
    ['an MPEG stream', 'mpegts', []],
    ['an MPEG stream', 'mpegts', ['-mpegts_m2ts_mode', '1']],
    ['an MPEG stream', 'mpeg', []],
    ['a Flash video', 'flv', []],
  ] as const)('knows %s (%s %j) for what it is', async (kind, muxer, options) => {
    const source = ['-f', 'lavfi', '-i', 'testsrc=size=128x64:duration=0.2'];
    const codec = muxer === 'flv' ? ['-c:v', 'flv'] : ['-c:v', 'mpeg2video'];
    const words = ['-v', 'error', ...source, ...codec, ...options, '-f', muxer, '-y'];
    execFileSync('ffmpeg', [...words, at('other.jpg')]);
    await fails(
      'other.jpg',
      new RegExp(
        `expected a picture, or a video in MP4, MOV or Matroska, found ${kind}: put it into one of these, as ffmpeg does without loss by '-c copy'$`,
      ),
    );
  });

  it('does not believe a gigantic header', async () => {
    await from(SOFT).png().toFile(at('huge.png'));
    const bytes = readFileSync(at('huge.png'));
    // PNG specification, 11.2.2: IHDR's width and height follow its name, its CRC follows its 13 bytes.
    bytes.writeUInt32BE(200000, 16);
    bytes.writeUInt32BE(100000, 20);
    bytes.writeUInt32BE(crc32(bytes.subarray(12, 29)), 29);
    writeFileSync(at('huge.png'), bytes);
    await fails(
      'huge.png',
      /huge\.png: its header claims 200000x100000 pixels, more than any master has/,
    );
  });

  it.each([
    [64, 64],
    [300, 100],
  ])('wants a whole sphere, not %ix%i', async (width, height) => {
    await from(SOFT).resize(width, height, { fit: 'fill' }).png().toFile(at('square.png'));
    await fails(
      'square.png',
      new RegExp(`twice as wide as high, found ${width}x${height}: complete it to 2:1 first$`),
    );
  });

  it('says what to do with floating-point TIFF', async () => {
    const data = Float32Array.from(SOFT, (code) => code / 255);
    writeFileSync(at('float.tif'), tiff({ width: WIDTH, height: HEIGHT, data }));
    await fails(
      'float.tif',
      /float\.tif: expected 8 or 16 bits a channel, found floating-point numbers of 32 bits, which may be linear light or not: export it as a 16-bit TIFF in sRGB, or linear light, for scenes, as OpenEXR$/,
    );
  });

  it('and an unharmed file still opens', async () => {
    await from(SOFT).png().toFile(at('good.png'));
    expect((await openMaster(at('good.png'))).width).toBe(WIDTH);
    truncateSync(at('good.png'), 100);
    await expect(openMaster(at('good.png'))).rejects.toThrow(InputError);
  });
});

/** PNG specification, annex D. */
function crc32(bytes: Uint8Array): number {
  let crc = 0xffffffff;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit++) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  }
  return ~crc >>> 0;
}
