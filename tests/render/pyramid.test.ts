import { describe, expect, it } from 'vitest';
import type { Pixels } from '../../src/master/pixels.js';
import { decodeSrgb } from '../../src/render/colour.js';
import { calmPoles, shrink } from '../../src/render/pyramid.js';

function picture(width: number, height: number, code: (x: number, y: number) => number): Pixels {
  const data = new Uint8Array(width * height * 3);
  for (let i = 0; i < width * height; i++)
    data.fill(code(i % width, Math.floor(i / width)), i * 3, i * 3 + 3);
  return { width, height, data };
}

const meanLight = ({ data }: Pixels) =>
  data.reduce((sum, code) => sum + decodeSrgb(code / 255), 0) / data.length;

describe('shrink', () => {
  it('averages black and white to 188, as IEC 61966-2-1 encodes half the light', () => {
    const board = picture(8, 4, (x, y) => ((x + y) % 2) * 255);
    expect([...shrink(board, 4, 2).data]).toEqual(Array(24).fill(188));
  });

  it('takes the same numbers by the general way as by the fast one', () => {
    const source = picture(12, 8, (x, y) => (x * 37 + y * 91) % 256);
    const fast = shrink(source, 6, 4);
    // A picture one row higher cannot take the fast way; its first rows cover the same texels.
    const doubled = picture(12, 16, (x, y) => (x * 37 + Math.floor(y / 2) * 91) % 256);
    expect(shrink(doubled, 6, 4).data).toEqual(fast.data);
  });

  it('keeps the light at ratios that are no whole numbers', () => {
    const source = picture(30, 15, (x, y) => (x * 53 + y * 29) % 256);
    const small = shrink(source, 16, 8);
    // Half an 8-bit code of rounding at most.
    expect(Math.abs(meanLight(small) - meanLight(source))).toBeLessThan(0.002);
  });
});

describe('calmPoles', () => {
  it('leaves rows within 60 degrees of the equator untouched', () => {
    const source = picture(32, 18, (x) => (x % 2) * 255);
    const before = source.data.slice();
    calmPoles(source);
    const row = (y: number) => [...source.data.subarray(y * 96, (y + 1) * 96)];
    for (let y = 3; y < 15; y++) expect(row(y)).toEqual([...before.subarray(y * 96, (y + 1) * 96)]);
    expect(row(0)).not.toEqual([...before.subarray(0, 96)]);
  });

  it("keeps each row's light and reaches round the seam", () => {
    const source = picture(64, 32, (x, y) => (y === 0 && x === 0 ? 255 : 0));
    calmPoles(source);
    // Row 0's centre lies 2.8125 degrees from the pole: 0.5 / sin(2.8125 deg) = 10.19 texels wide.
    const lit = [...source.data.subarray(0, 192)].map((code) => decodeSrgb(code / 255));
    expect(lit.filter((light) => light > 0).length).toBe(3 * 11);
    expect(lit[63 * 3]).toBeCloseTo(1 / 10.19, 2);
    expect(lit.reduce((sum, light) => sum + light, 0) / 3).toBeCloseTo(1, 1);
  });
});
