import { describe, expect, it } from 'vitest';
import { decodeSrgb, encodeSrgb } from '../../src/colour.js';
import { encodeSrgbFast, lightOf } from '../../src/master/codes.js';
import { type Depth, newSamples, type Pixels, pixels } from '../../src/master/pixels.js';
import { createPyramid } from '../../src/render/pyramid.js';

type Size = readonly [width: number, height: number];

function picture(
  [width, height]: Size,
  depth: Depth,
  code: (x: number, y: number) => number,
): Pixels {
  const data = newSamples(depth, width * height * 3);
  for (let i = 0; i < width * height; i++)
    data.fill(code(i % width, Math.floor(i / width)), i * 3, i * 3 + 3);
  return pixels(width, height, data);
}

/** All levels, the source given in portions of `portion` rows. */
function levelsOf(source: Pixels, sizes: readonly Size[], portion = source.height): Pixels[] {
  const named = sizes.map(([width, height]) => ({ width, height }));
  const levels = sizes.map(([w, h]) => pixels(w, h, newSamples(source.depth, w * h * 3)));
  const next = sizes.map(() => 0);
  const pyramid = createPyramid(source.depth, source, named, (level, row, codes) => {
    expect(row).toBe(next[level]!++);
    levels[level]!.data.set(codes, row * codes.length);
  });
  const rows = source.width * 3 * portion;
  for (let at = 0; at < source.data.length; at += rows)
    pyramid.add(source.data.subarray(at, at + rows));
  expect(next).toEqual(sizes.map(([, height]) => height));
  return levels;
}

const last = (levels: readonly Pixels[]) => levels.at(-1)!;
const most = ({ depth }: Pixels) => 2 ** depth - 1;
const rowOf = ({ data, width }: Pixels, y: number) => [
  ...data.subarray(y * width * 3, (y + 1) * width * 3),
];
const lightOfRow = (level: Pixels, y: number) =>
  rowOf(level, y)
    .map((code) => decodeSrgb(code / most(level)))
    .reduce((sum, light) => sum + light, 0) /
  (3 * level.width);

/** Rows within 60 degrees of the equator, which are not averaged along themselves. */
const plainRows = ({ height }: Pixels) =>
  Array.from({ length: height }, (_, y) => y).filter(
    (y) => Math.abs((y + 0.5) / height - 0.5) * 180 < 60,
  );

const noise = (x: number, y: number) => (x * 7919 + y * 104729 + x * y * 31) % 65536;

describe('the levels of a master', () => {
  it.each([8, 16] as const)(
    'average black and white to half the light, as IEC 61966-2-1 encodes it, in %i bits',
    (depth) => {
      const full = 2 ** depth - 1;
      const board = picture([64, 32], depth, (x, y) => ((x + y) % 2) * full);
      const small = last(
        levelsOf(board, [
          [64, 32],
          [32, 16],
        ]),
      );
      // 188 and 48193: 255 and 65535 times 1.055 * 0.5^(1/2.4) - 0.055 = 0.735357.
      const half = depth === 8 ? 188 : 48192;
      for (const code of small.data)
        expect(Math.abs(code - half)).toBeLessThanOrEqual(depth === 8 ? 0 : 1);
    },
  );

  it.each([
    ['halves', [96, 48], [48, 24], 8],
    ['halves', [96, 48], [48, 24], 16],
    ['other ratios', [90, 45], [64, 32], 8],
    ['other ratios', [90, 45], [64, 32], 16],
    ['ratios above two', [101, 51], [48, 24], 16],
  ] as const)(
    'are area averages of linear light: %s, %s to %s in %i bits',
    (_, from, to, depth) => {
      const source = picture(from, depth, (x, y) => noise(x, y) >> (16 - depth));
      const small = last(levelsOf(source, [from, to]));
      for (const y of plainRows(small)) {
        for (let x = 0; x < small.width; x++) {
          const exact = most(source) * encodeSrgb(areaMean(source, small, x, y));
          // Half a code of rounding, and what 16 bits of linear light leave open for 8-bit codes.
          expect(Math.abs(small.data[(y * small.width + x) * 3]! - exact)).toBeLessThan(0.56);
        }
      }
    },
  );

  it('hand light down unrounded by codes: the third level of one dark code in 16 stays right', () => {
    const source = picture([256, 128], 8, (x, y) => (x % 4 === 0 && y % 4 === 0 ? 30 : 0));
    const third = last(
      levelsOf(source, [
        [256, 128],
        [128, 64],
        [64, 32],
      ]),
    );
    // decode(30/255) / 16 = 0.000812, encoded 0.01049: code 2.68.
    for (const y of plainRows(third)) expect(new Set(rowOf(third, y))).toEqual(new Set([3]));
  });

  it('are the same for rows that come one by one', () => {
    const source = picture([90, 45], 8, (x, y) => noise(x, y) >> 8);
    const sizes: Size[] = [
      [90, 45],
      [64, 32],
      [32, 16],
    ];
    expect(levelsOf(source, sizes, 1)).toEqual(levelsOf(source, sizes));
  });

  it('may begin below the master itself', () => {
    const source = picture([128, 64], 8, (x, y) => noise(x, y) >> 8);
    const [, second] = levelsOf(source, [
      [128, 64],
      [64, 32],
    ]);
    expect(levelsOf(source, [[64, 32]])).toEqual([second]);
  });
});

/** The mean light of the source's area under one texel of the smaller picture, in double precision. */
function areaMean(source: Pixels, small: Pixels, x: number, y: number): number {
  const across = source.width / small.width;
  const down = source.height / small.height;
  const overlap = (cell: number, at: number, ratio: number) =>
    Math.max(0, Math.min(cell + 1, (at + 1) * ratio) - Math.max(cell, at * ratio));
  let sum = 0;
  for (let v = Math.floor(y * down); v < Math.min(source.height, (y + 1) * down); v++) {
    for (let u = Math.floor(x * across); u < Math.min(source.width, (x + 1) * across); u++) {
      const light = decodeSrgb(source.data[(v * source.width + u) * 3]! / most(source));
      sum += light * overlap(u, x, across) * overlap(v, y, down);
    }
  }
  return sum / (across * down);
}

describe('rows near the poles', () => {
  it('are averaged along themselves, those within 60 degrees of the equator are not', () => {
    const source = picture([32, 18], 8, (x) => (x % 2) * 255);
    const [level] = levelsOf(source, [[32, 18]]) as [Pixels];
    for (let y = 3; y < 15; y++) expect(rowOf(level, y)).toEqual(rowOf(source, y));
    for (const y of [0, 1, 2, 15, 16, 17]) expect(rowOf(level, y)).not.toEqual(rowOf(source, y));
  });

  it.each([8, 16] as const)('keep their light and reach round the seam, in %i bits', (depth) => {
    const full = 2 ** depth - 1;
    const source = picture([64, 32], depth, (x, y) => (y === 0 && x === 0 ? full : 0));
    const [level] = levelsOf(source, [[64, 32]]) as [Pixels];
    const lit = rowOf(level, 0).map((code) => decodeSrgb(code / full));
    // Row 0's centre lies 2.8125 degrees from the pole: 0.5 / sin(2.8125 deg) = 10.19 texels wide.
    expect(lit.filter((light) => light > 0).length).toBe(3 * 11);
    expect(lit[59 * 3]).toBeCloseTo(0.595 / 10.19, depth === 8 ? 2 : 4);
    expect(lit[63 * 3]).toBeCloseTo(1 / 10.19, 2);
    expect(lit[5 * 3]).toBeCloseTo(lit[59 * 3]!, 9);
    expect(lightOfRow(level, 0) * 64).toBeCloseTo(1, depth === 8 ? 1 : 3);
  });

  it('equal a box filter in double precision', () => {
    const source = picture([60, 30], 16, noise);
    const [level] = levelsOf(source, [[60, 30]]) as [Pixels];
    for (const y of [0, 1, 2, 3, 4, 28, 29]) {
      const reach = 0.5 / Math.sin((Math.PI * (y + 0.5)) / 30);
      for (let x = 0; x < 60; x++) {
        let sum = 0;
        for (let k = -60; k <= 120; k++) {
          const overlap = Math.min(k + 1, x + 0.5 + reach / 2) - Math.max(k, x + 0.5 - reach / 2);
          const code = source.data[(y * 60 + ((k + 120) % 60)) * 3]!;
          if (overlap > 0) sum += overlap * decodeSrgb(code / 65535);
        }
        const exact = 65535 * encodeSrgb(sum / reach);
        expect(Math.abs(level.data[(y * 60 + x) * 3]! - exact), `${x}, ${y}`).toBeLessThan(0.56);
      }
    }
  });
});

describe('codes and linear light', () => {
  it.each([8, 16] as const)('every code of %i bits comes back from its light', (depth) => {
    const { ofCode, encode } = lightOf(depth);
    const back = newSamples(depth, ofCode.length);
    encode(ofCode, back);
    expect(back.every((code, index) => code === index)).toBe(true);
  });

  it('the quick encoding keeps within 1/20 of a 16-bit code of the standard, and never falls', () => {
    let before = 0;
    for (let i = 0; i <= 300_000; i++) {
      const light = (i / 300_000) ** 3;
      const quick = encodeSrgbFast(light);
      expect(Math.abs(quick - encodeSrgb(light)) * 65535).toBeLessThan(0.05);
      expect(quick).toBeGreaterThanOrEqual(before);
      before = quick;
    }
  });
});
