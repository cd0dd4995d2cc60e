import { describe, expect, it } from 'vitest';
import { breather } from '../../../src/master/breath.js';
import { clearSky } from '../../../src/master/complete/clearSky.js';
import { addGrain } from '../../../src/master/complete/grain.js';
import { solveSymmetric } from '../../../src/master/complete/linear.js';
import { blockStatistics } from '../../../src/master/complete/noise.js';
import { generator } from '../../../src/master/complete/random.js';
import { reduce } from '../../../src/master/complete/reduce.js';
import { addSample } from '../../../src/master/complete/sample.js';
import { direction } from '../../../src/master/complete/sphere.js';
import { fitTrend } from '../../../src/master/complete/trend.js';
import type { Samples } from '../../../src/master/complete/trendModels.js';
import type { Canvas } from '../../../src/master/complete/types.js';

/** Close to a normal spread of 1: twelve evenly spread numbers summed. */
const normal = (random: () => number) =>
  Array.from({ length: 12 }, random).reduce((a, b) => a + b, -6);

describe('grain', () => {
  it('is measured to 10 % beside a slope', () => {
    const random = generator(5);
    const sigmas = Array.from({ length: 200 }, () => {
      const block = new Float64Array(300);
      for (let i = 0; i < 100; i++) {
        for (let c = 0; c < 3; c++)
          block[3 * i + c] = 90 + (i % 10) * 2 - Math.floor(i / 10) + 4 * normal(random);
      }
      return Math.sqrt(blockStatistics(block, 10).covariance[0]!);
    });
    const mean = sigmas.reduce((a, b) => a + b) / sigmas.length;
    expect(mean).toBeGreaterThan(3.6);
    expect(mean).toBeLessThan(4.4);
  });

  it('is added with the spread asked for, and the same wherever it is asked from', () => {
    const grain = { factor: [3, 1.5, 2, 0, 0, 1] as const, sigma: 3, step: 1.6 };
    const out = new Float64Array(3);
    const squares = [0, 0, 0];
    let product = 0;
    const n = 20000;
    for (let i = 0; i < n; i++) {
      out.fill(0);
      addGrain(grain, (i % 200) * 1.31, Math.floor(i / 200) * 1.17, 9, out);
      for (let c = 0; c < 3; c++) squares[c]! += out[c]! ** 2 / n;
      product += (out[0]! * out[1]!) / n;
    }
    expect(Math.sqrt(squares[0]!)).toBeCloseTo(3, 0);
    expect(Math.sqrt(squares[1]!)).toBeCloseTo(2.5, 0);
    expect(Math.sqrt(squares[2]!)).toBeCloseTo(1, 0);
    expect(product).toBeGreaterThan(4);
    expect(product).toBeLessThan(5);
    const again = new Float64Array(3);
    addGrain(grain, 199 * 1.31, 99 * 1.17, 9, again);
    expect([...again]).toEqual([...out]);
  });
});

/** Samples of a ring 30 to 60 degrees from the zenith. */
function ring(
  colour: (a: number, b: number, h: number, c: number) => number,
  count = 2000,
): Samples {
  const random = generator(2);
  const local: number[] = [];
  const rgb: number[] = [];
  for (let i = 0; i < count; i++) {
    const h = Math.cos(((30 + 30 * random()) * Math.PI) / 180);
    const azimuth = 2 * Math.PI * random();
    const [a, b] = [
      Math.sqrt(1 - h * h) * Math.cos(azimuth),
      Math.sqrt(1 - h * h) * Math.sin(azimuth),
    ];
    local.push(a, b, h);
    for (let c = 0; c < 3; c++) rgb.push(colour(a, b, h, c));
  }
  return {
    count,
    local: Float64Array.from(local),
    rgb: Float64Array.from(rgb),
    weight: new Float64Array(count).fill(1),
    light: [1, 0, 0],
  };
}

describe('trend', () => {
  it('continues a graded sky to the zenith', () => {
    const sky = (a: number, _b: number, h: number, c: number) => 200 - 60 * h + 25 * a - 10 * c;
    const trend = fitTrend(ring(sky));
    const out = new Float64Array(3);
    trend.at(0, 0, 1, out);
    expect(trend.name).toBe('sloped');
    for (let c = 0; c < 3; c++) expect(Math.abs(out[c]! - sky(0, 0, 1, c))).toBeLessThan(1);
  });

  it('is not led astray by a tenth of birds and masts', () => {
    const random = generator(3);
    const trend = fitTrend(ring((a, _b, h) => (random() < 0.1 ? 10 : 200 - 60 * h + 25 * a)));
    const out = new Float64Array(3);
    trend.at(0, 0, 1, out);
    expect(Math.abs(out[0]! - 140)).toBeLessThan(2);
  });

  it('is one colour where there is nothing but texture', () => {
    const random = generator(4);
    const trend = fitTrend(ring(() => (random() < 0.5 ? 60 : 160)));
    expect(trend.name).toBe('level');
  });
});

describe('clearSky', () => {
  const blue = (h: number, c: number) => [210 - 130 * h, 215 - 100 * h, 210 - 45 * h][c]!;

  /** A ring of sky of which `cover` is cloud, in blots of some degrees. */
  function broken(cover: number, cloud: (h: number, c: number) => number): Samples {
    let [a0, h0, covered] = [9, 9, false];
    const random = generator(8);
    return ring((a, _b, h, c) => {
      if (a !== a0 || h !== h0) covered = random() < cover;
      [a0, h0] = [a, h];
      return covered ? cloud(h, c) : blue(h, c);
    }, 8000);
  }

  it('finds the slope of the sky behind broken cloud, where no trend finds one', () => {
    const samples = broken(0.5, (h, c) => 235 - 30 * h + 5 * c);
    const out = new Float64Array(3);
    expect(fitTrend(samples).name).toBe('level');
    const clear = clearSky(samples);
    const trend = fitTrend(clear!);
    expect(trend.name).toBe('sloped');
    trend.at(0, 0, 1, out);
    for (let c = 0; c < 3; c++) expect(Math.abs(out[c]! - blue(1, c))).toBeLessThan(4);
  });

  it('is not led astray by a bank of cloud that covers a third of the ring all over', () => {
    const covered = broken(0.3, (h, c) => 235 - 30 * h + 5 * c);
    for (let i = 0; i < covered.count; i++) {
      if (covered.local[3 * i]! < 0.25) continue;
      for (let c = 0; c < 3; c++) covered.rgb[3 * i + c] = 215 + 3 * c;
    }
    const out = new Float64Array(3);
    fitTrend(clearSky(covered)!).at(0, 0, 1, out);
    for (let c = 0; c < 3; c++) expect(Math.abs(out[c]! - blue(1, c))).toBeLessThan(4);
  });

  it('finds none where what is darkest is no bluer, as between branches', () => {
    expect(clearSky(broken(0.5, (_h, c) => [90, 100, 60][c]!))).toBeUndefined();
    const random = generator(4);
    let grey = 0;
    expect(
      clearSky(
        ring((_a, _b, _h, c) => {
          if (c === 0) grey = random() < 0.5 ? 60 : 160;
          return grey;
        }),
      ),
    ).toBeUndefined();
  });
});

describe('solveSymmetric', () => {
  it('solves a system known by hand', () => {
    // [4 2; 2 3] x = [10; 9] has x = [1.5; 2].
    const b = Float64Array.of(10, 9);
    solveSymmetric(Float64Array.of(4, 2, 2, 3), b, 2, 1);
    expect(b[0]).toBeCloseTo(1.5, 12);
    expect(b[1]).toBeCloseTo(2, 12);
  });
});

describe('canvas', () => {
  const canvas: Canvas = {
    width: 8,
    height: 4,
    depth: 8,
    data: Uint8Array.from({ length: 96 }, (_, i) => (i * 37) % 256),
    hole: new Uint8Array(32),
  };

  it('is sampled exactly at pixel centres', () => {
    for (const [x, y] of [
      [0, 1],
      [7, 2],
      [3, 0],
    ] as const) {
      const out = new Float64Array(3);
      const d = direction(((x + 0.5) / 8 - 0.5) * 2 * Math.PI, (0.5 - (y + 0.5) / 4) * Math.PI);
      addSample(canvas, d[0], d[1], d[2], 1, out);
      for (let c = 0; c < 3; c++) expect(out[c]).toBeCloseTo(canvas.data[3 * (8 * y + x) + c]!, 6);
    }
  });

  it('is reduced by means; any hole makes a hole', async () => {
    const holed = { ...canvas, hole: Uint8Array.from({ length: 32 }, (_, i) => (i === 9 ? 1 : 0)) };
    const half = await reduce(holed, 2, breather(undefined));
    expect([half.width, half.height, half.depth]).toEqual([4, 2, 16]);
    expect([...half.hole]).toEqual([1, 0, 0, 0, 0, 0, 0, 0]);
    const mean = (canvas.data[6]! + canvas.data[9]! + canvas.data[30]! + canvas.data[33]!) / 4;
    expect(half.data[3]).toBe(Math.round(mean * 257));
  });
});
