import { geoStereographic } from 'd3-geo';
import { describe, expect, it } from 'vitest';
import {
  type Chart,
  chartAround,
  drawChart,
  toDirection,
  toPlane,
} from '../../../src/master/complete/chart.js';
import { direction } from '../../../src/master/complete/sphere.js';
import type { Canvas } from '../../../src/master/complete/types.js';

const DEGREE = Math.PI / 180;
const centres: [string, number, number][] = [
  ['the zenith', 0, 90],
  ['the nadir', 0, -90],
  ['the seam', 180, 0],
  ['somewhere', -77, 33],
];

describe('chart', () => {
  it.each(centres)(
    'leads from the plane to the sphere and back around %s',
    (_, longitude, latitude) => {
      const chart = chartAround(
        direction(longitude * DEGREE, latitude * DEGREE),
        100 * DEGREE,
        300,
      );
      const d = new Float64Array(3);
      let worst = 0;
      for (let x = 0.5; x < chart.size; x += 97.3) {
        for (let y = 0.5; y < chart.size; y += 83.1) {
          toDirection(chart, x, y, d);
          expect(Math.hypot(d[0]!, d[1]!, d[2]!)).toBeCloseTo(1, 12);
          const back = toPlane(chart, [d[0]!, d[1]!, d[2]!]);
          worst = Math.max(worst, Math.hypot(back[0] - x, back[1] - y));
        }
      }
      expect(worst).toBeLessThan(1e-9);
    },
  );

  it('agrees with d3-geo (which uses tan(c/2), half our radius)', () => {
    const chart = chartAround(direction(30 * DEGREE, -20 * DEGREE), 60 * DEGREE, 500);
    const project = geoStereographic()
      .rotate([-30, 20])
      .scale(2 * 500)
      .translate([chart.size / 2, chart.size / 2]);
    for (const [lon, lat] of [
      [30, -20],
      [50, 10],
      [-10, -60],
      [33, -21],
    ] as const) {
      const [x, y] = toPlane(chart, direction(lon * DEGREE, lat * DEGREE));
      const expected = project([lon, lat])!;
      expect(x).toBeCloseTo(expected[0], 6);
      expect(y).toBeCloseTo(expected[1], 6);
    }
  });

  it('looks straight up and down as a pitched camera does', () => {
    const zenith = chartAround([0, 1, 0], 0.5, 100);
    const nadir = chartAround([0, -1, 0], 0.5, 100);
    const ahead = (chart: Chart, longitude: number) => {
      const [x, y] = toPlane(chart, direction(longitude * DEGREE, chart.centre[1] * 80 * DEGREE));
      return [Math.sign(Math.round(x - chart.size / 2)), Math.sign(Math.round(y - chart.size / 2))];
    };
    // Looking down, the master's centre lies above the middle; looking up, below it. East is right.
    expect(ahead(nadir, 0)).toEqual([0, -1]);
    expect(ahead(zenith, 0)).toEqual([0, 1]);
    expect(ahead(nadir, 90)).toEqual([1, 0]);
    expect(ahead(zenith, 90)).toEqual([1, 0]);
  });

  it('draws colours from where they are, across the seam and over the pole', () => {
    const [width, height] = [256, 128];
    const data = new Uint16Array(width * height * 3);
    for (let i = 0; i < width * height; i++) {
      const d = direction(
        (((i % width) + 0.5) / width - 0.5) * 2 * Math.PI,
        (0.5 - (Math.floor(i / width) + 0.5) / height) * Math.PI,
      );
      for (let c = 0; c < 3; c++)
        data[3 * i + c] = Math.round((0.5 + 0.4 * d[c as 0 | 1 | 2]) * 65535);
    }
    const canvas: Canvas = { width, height, depth: 16, data, hole: new Uint8Array(width * height) };
    const d = new Float64Array(3);
    for (const [, longitude, latitude] of centres) {
      const chart = chartAround(direction(longitude * DEGREE, latitude * DEGREE), 0.4, 40);
      const { rgb, known } = drawChart(canvas, chart);
      expect(known.every((k) => k === 1)).toBe(true);
      for (let i = 0; i < known.length; i++) {
        toDirection(chart, (i % chart.size) + 0.5, Math.floor(i / chart.size) + 0.5, d);
        // Half a row beside a pole is off by at most a pixel's step: 0.4 x 255 x pi / 128 / 2.
        for (let c = 0; c < 3; c++)
          expect(Math.abs(rgb[3 * i + c]! - 255 * (0.5 + 0.4 * d[c]!))).toBeLessThan(1.3);
      }
    }
  });
});
