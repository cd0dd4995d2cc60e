import { describe, expect, it } from 'vitest';
import { chartAround } from '../../../src/master/complete/chart.js';
import type { Field } from '../../../src/master/complete/field.js';
import { findHoles } from '../../../src/master/complete/holes.js';
import type { Material } from '../../../src/master/complete/material.js';
import { goesOn, paintTops, topsOf } from '../../../src/master/complete/prolong.js';
import { direction } from '../../../src/master/complete/sphere.js';
import type { Canvas } from '../../../src/master/complete/types.js';
import { easel } from '../../../src/master/complete/write.js';

const WIDTH = 360;
const HEIGHT = 180;
const RIM = 40;
const SKY = [100, 150, 220] as const;

/** A plain sky without its cap, and whatever `colour` says stands before it. */
function canvasWith(colour: (x: number, y: number) => readonly number[] | undefined): Canvas {
  const data = new Uint8Array(WIDTH * HEIGHT * 3);
  const hole = new Uint8Array(WIDTH * HEIGHT);
  for (let y = 0, i = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++, i++) {
      data.set(colour(x, y) ?? SKY, 3 * i);
      if (y < RIM) hole[i] = 1;
    }
  }
  return { width: WIDTH, height: HEIGHT, depth: 8, data, hole };
}

/** The sky that lies behind, over the whole chart. */
function plainSky(): Field {
  const chart = chartAround([0, 1, 0], 1.5, 40);
  const rgb = Float32Array.from({ length: chart.size ** 2 * 3 }, (_, i) => SKY[i % 3]!);
  return { chart, rgb };
}

/** A tower of 20 columns whose storeys are dark and darker by turns, two rows each. */
const tower = (x: number, y: number) =>
  x >= 100 && x < 120 ? [60, y % 4 < 2 ? 60 : 40, 50] : undefined;

function cutTower(): Canvas {
  return canvasWith(tower);
}

/** Nothing is of another material than the sky, or all is. */
const material = (suits: 0 | 1): Material => ({
  width: 8,
  height: 4,
  suits: new Uint8Array(32).fill(suits),
});

const topsIn = (canvas: Canvas, suits: 0 | 1 = 1) =>
  topsOf(canvas, findHoles(canvas).holes[0]!, material(suits), async () => plainSky());

describe('topsOf', () => {
  it('finds what the rim cuts, column by column, and nothing beside it', async () => {
    const tops = await topsIn(cutTower());
    expect(tops?.rim).toBe(RIM);
    expect(tops?.pole).toBe(1);
    tops?.heights.forEach((height, x) => {
      if (x >= 100 && x < 120) expect(height).toBeGreaterThan(1);
      else expect(height).toBe(0);
    });
  });

  it('gives a straight roof: a great circle, its corners alike, higher in the middle', async () => {
    const { heights } = (await topsIn(cutTower()))!;
    expect(heights[100]).toBeCloseTo(heights[119]!, 4);
    // Two points of a great circle at azimuths a and b from its highest one: tan(colatitude) cos is the same.
    const line = (x: number) =>
      Math.tan(((RIM - heights[x]!) * Math.PI) / 180) * Math.cos(((x - 109.5) * Math.PI) / 180);
    for (let x = 100; x < 120; x++) expect(line(x)).toBeCloseTo(line(109), 2);
  });

  it('is silent before a clear sky', async () => {
    expect(await topsIn(canvasWith(() => undefined))).toBeUndefined();
  });

  it('takes what is lighter for cloud or glow, unless it is of another material', async () => {
    const wall = (x: number) => (x >= 170 && x < 190 ? [240, 245, 250] : undefined);
    expect(await topsIn(canvasWith(wall))).toBeUndefined();
    expect((await topsIn(canvasWith(wall), 0))?.heights.filter((h) => h > 0).length).toBe(20);
  });

  it('takes what is lighter and has soft edges for cloud, whatever its material', async () => {
    const cloud = (x: number) => {
      const share = Math.min(1, Math.max(0, 1 - Math.abs(x - 180) / 15));
      return share > 0 ? SKY.map((v) => Math.round(v + share * (250 - v))) : undefined;
    };
    expect(await topsIn(canvasWith(cloud), 0)).toBeUndefined();
  });

  it('takes what is much of the rim for the sky itself, unless it is of another material', async () => {
    const dusk = (x: number) => (x < 150 ? [60, 90, 160] : undefined);
    expect(await topsIn(canvasWith(dusk))).toBeUndefined();
    expect((await topsIn(canvasWith(dusk), 0))?.heights.filter((h) => h > 0).length).toBe(150);
  });

  it('takes what is bluer than the sky behind for the clear sky between clouds, whatever its material', async () => {
    const gap = (x: number) => (x >= 100 && x < 140 ? [50, 115, 235] : undefined);
    expect(await topsIn(canvasWith(gap), 0)).toBeUndefined();
  });

  it('goes on no farther than it may be followed down from the rim', async () => {
    const low = (x: number, y: number) => (y < RIM + 2 ? tower(x, y) : undefined);
    const { heights } = (await topsIn(canvasWith(low)))!;
    for (let x = 100; x < 120; x++) expect(heights[x]).toBeLessThanOrEqual(2);
  });

  it('leaves a hole with another rim alone', async () => {
    const canvas = cutTower();
    for (let x = 0; x < 90; x++) canvas.hole[RIM * WIDTH + x] = 1;
    expect(await topsIn(canvas)).toBeUndefined();
  });
});

describe('paintTops', () => {
  it('mirrors at the rim, and leaves all other columns and known rows alone', async () => {
    const canvas = cutTower();
    const on = easel(canvas, findHoles(canvas));
    const before = canvas.data.slice();
    paintTops(on, (await topsIn(canvas))!);
    const at = (x: number, y: number) => [
      ...canvas.data.subarray(3 * (y * WIDTH + x), 3 * (y * WIDTH + x) + 3),
    ];
    // Beside the rim the inversion is a plain mirror to within a small part of a row.
    const storey = at(110, RIM);
    at(110, RIM - 1).forEach((value, c) => {
      expect(Math.abs(value - storey[c]!)).toBeLessThanOrEqual(2);
    });
    const firstKnown = 3 * RIM * WIDTH;
    expect(canvas.data.subarray(firstKnown)).toEqual(before.subarray(firstKnown));
    expect(at(99, RIM - 1)).toEqual([...SKY]);
    expect(at(110, 5)).toEqual([
      ...before.subarray(3 * (5 * WIDTH + 110), 3 * (5 * WIDTH + 110) + 3),
    ]);
    expect(on.changed[RIM - 1]).toBe(1);
    expect(on.changed[RIM]).toBe(0);
  });

  it('does so at the nadir too', async () => {
    const canvas = cutTower();
    const flipped: Canvas = {
      ...canvas,
      data: new Uint8Array(canvas.data.length),
      hole: new Uint8Array(canvas.hole.length),
    };
    for (let y = 0; y < HEIGHT; y++) {
      const from = (HEIGHT - 1 - y) * WIDTH;
      flipped.hole.set(canvas.hole.subarray(from, from + WIDTH), y * WIDTH);
      (flipped.data as Uint8Array).set(
        canvas.data.subarray(3 * from, 3 * (from + WIDTH)) as Uint8Array,
        3 * y * WIDTH,
      );
    }
    const field = plainSky();
    const south: Field = { ...field, chart: chartAround([0, -1, 0], 1.5, 40) };
    const hole = findHoles(flipped).holes[0]!;
    const tops = await topsOf(flipped, hole, material(1), async () => south);
    expect(tops?.pole).toBe(-1);
    expect(tops?.heights).toEqual((await topsIn(canvas))?.heights);
  });
});

it('goesOn tells the directions of the columns that are cut', async () => {
  const tops = (await topsIn(cutTower()))!;
  const towards = (x: number) =>
    direction((((x + 0.5) / WIDTH - 0.5) * 2 * Math.PI) as number, 0.7);
  expect(goesOn(tops, towards(110))).toBe(true);
  expect(goesOn(tops, towards(90))).toBe(false);
});
