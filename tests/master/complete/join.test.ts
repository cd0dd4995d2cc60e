import { describe, expect, it } from 'vitest';
import { breather } from '../../../src/master/breath.js';
import { chartAround } from '../../../src/master/complete/chart.js';
import type { Paint } from '../../../src/master/complete/fill.js';
import { findHoles } from '../../../src/master/complete/holes.js';
import { joinRim } from '../../../src/master/complete/join.js';
import { generator } from '../../../src/master/complete/random.js';
import type { Canvas } from '../../../src/master/complete/types.js';
import { easel, paintRows, rowsOf } from '../../../src/master/complete/write.js';
import { holeOf } from './photos.js';

const WIDTH = 360;
const HEIGHT = 180;
const GREY = 120;

/** A grey sphere with columns of their own brightness; the hole is painted plain grey. */
function painted(cut: { longitude: number; latitude: number; radius: number }) {
  const random = generator(6);
  const stripes = Array.from({ length: WIDTH }, () => GREY + Math.round(40 * random() - 20));
  const data = Uint8Array.from(
    { length: WIDTH * HEIGHT * 3 },
    (_, i) => stripes[Math.floor(i / 3) % WIDTH]!,
  );
  const hole = holeOf({ width: WIDTH, height: HEIGHT }, cut);
  const canvas: Canvas = { width: WIDTH, height: HEIGHT, depth: 8, data, hole };
  const before = data.slice();
  const map = findHoles(canvas);
  const on = easel(canvas, map);
  const paint: Paint = {
    chart: chartAround(map.holes[0]!.centre, 1, 60),
    add: (_x, _y, out) => {
      for (let c = 0; c < 3; c++) out[c]! += GREY;
    },
  };
  const [first, end] = rowsOf(on, map.holes[0]!);
  paintRows(on, map.holes[0]!, paint, first, end);
  return {
    canvas,
    before,
    join: () => joinRim(on, map.holes[0]!, paint, [first, end], breather(undefined)),
  };
}

/** Mean absolute step down the columns, from the row above `y` to it, over what lies within the cut. */
function step({ data }: Canvas, y: number): number {
  let sum = 0;
  for (let x = 0; x < WIDTH; x++) {
    sum += Math.abs(data[3 * (y * WIDTH + x)]! - data[3 * ((y - 1) * WIDTH + x)]!) / WIDTH;
  }
  return sum;
}

describe('joinRim', () => {
  it('spreads what the paint lacks at the rim over some pixels, and no farther', async () => {
    const { canvas, join } = painted({ longitude: 0, latitude: -90, radius: 40 });
    const rim = canvas.hole.indexOf(1) / WIDTH;
    const before = step(canvas, rim);
    await join();
    expect(step(canvas, rim)).toBeLessThan(0.6 * before);
    for (let y = rim + 1; y <= rim + 4; y++) expect(step(canvas, y)).toBeLessThan(0.4 * before);
    expect(step(canvas, rim + 6)).toBe(0);
  });

  it('leaves known pixels as they are, also across longitude ±180°', async () => {
    const { canvas, before, join } = painted({ longitude: 180, latitude: 0, radius: 20 });
    await join();
    canvas.hole.forEach((h, i) => {
      if (!h) expect(canvas.data[3 * i]).toBe(before[3 * i]);
    });
    const row = (HEIGHT / 2) * WIDTH;
    const at = (x: number) => canvas.data[3 * (row + x)]! - GREY;
    // The hole lies on both sides of the seam: its columns are 340 to 359 and 0 to 19.
    expect(canvas.hole[row + 19]).toBe(1);
    expect(canvas.hole[row + 20]).toBe(0);
    expect(Math.sign(at(19))).toBe(Math.sign(at(20)));
    expect(Math.sign(at(340))).toBe(Math.sign(at(339)));
    expect(at(0)).toBe(0);
  });
});
