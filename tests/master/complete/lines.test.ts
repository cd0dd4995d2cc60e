import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type ChartPicture, chartAround, drawChart } from '../../../src/master/complete/chart.js';
import { findHoles } from '../../../src/master/complete/holes.js';
import { lineEnds } from '../../../src/master/complete/lineEnds.js';
import { amount, type Line, linesOf, pointOn } from '../../../src/master/complete/lines.js';
import { type Direction, dot, unit } from '../../../src/master/complete/sphere.js';
import type { Canvas } from '../../../src/master/complete/types.js';
import { completeMaster } from '../../../src/master/complete.js';
import { changedPixels } from './measure.js';
import { type Cut, directionOf, holeOf, type Photo, readPhoto, writeCut } from './photos.js';
import { drawScene, ROOM, room, type Scene } from './room.js';

const DEGREE = Math.PI / 180;
const WIDTH = 1024;
const PIXEL = (2 * Math.PI) / WIDTH;
const FOLLOWED = 20 * DEGREE;

/** A disc around the place of the edge between ceiling and front wall that lies straight ahead. */
const EDGE: Cut = {
  longitude: 3,
  latitude: Math.atan2(ROOM.ceiling, -ROOM.front) / DEGREE,
  radius: 20,
};
/** The plane of that edge and the eye. */
const EDGE_POLE = unit([0, -ROOM.front, ROOM.ceiling]);

function pictureOf(photo: Photo, cut: Cut): ChartPicture {
  const canvas: Canvas = { ...photo, depth: 8, data: photo.rgb, hole: holeOf(photo, cut) };
  const { centre, radius } = findHoles(canvas).holes[0]!;
  const scale = photo.width / (2 * Math.PI);
  return drawChart(canvas, chartAround(centre, radius + FOLLOWED, scale));
}

async function linesIn(photo: Photo, cut: Cut, alone: boolean): Promise<readonly Line[]> {
  const picture = pictureOf(photo, cut);
  return linesOf(await lineEnds(picture, FOLLOWED, async () => {}), picture, alone);
}

const sample = ({ width, height, rgb }: Photo, d: Direction, c: number): number => {
  const u = (Math.atan2(d[0], -d[2]) / (2 * Math.PI) + 0.5) * width - 0.5;
  const v = (0.5 - Math.asin(d[1]) / Math.PI) * height - 0.5;
  const [x, y] = [Math.floor(u), Math.floor(v)];
  const at = (i: number, j: number) => rgb[3 * ((y + j) * width + ((x + i + width) % width)) + c]!;
  const [fx, fy] = [u - x, v - y];
  return (
    (1 - fy) * ((1 - fx) * at(0, 0) + fx * at(1, 0)) + fy * ((1 - fx) * at(0, 1) + fx * at(1, 1))
  );
};

const besideLine = (line: Line, t: number, s: number): Direction => {
  const d = pointOn(line, t);
  const at = (k: 0 | 1 | 2) => Math.cos(s) * d[k] + Math.sin(s) * line.pole[k];
  return [at(0), at(1), at(2)];
};

/** How far off a line, in pixels, colours pass half of the way between those 5 pixels to its sides. */
function edgeOff(photo: Photo, line: Line, t: number, c: number): number {
  const at = (s: number) => sample(photo, besideLine(line, t, s * PIXEL), c);
  const middle = (at(-5) + at(5)) / 2;
  const sign = Math.sign(at(5) - at(-5));
  for (let s = -5; s < 5; s += 0.1) if (sign * (at(s) - middle) >= 0) return s;
  return 5;
}

const exactEdge = (): Line => {
  const at = unit([0, ROOM.ceiling, ROOM.front]);
  return {
    pole: EDGE_POLE,
    at,
    along: [1, 0, 0],
    end: 0,
    fade: 0,
    before: 1,
    after: 1,
    strip: false,
  };
};

let folder = '';
let seen: Photo;

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'orbreel-lines-'));
  seen = drawScene(WIDTH, room);
});

afterAll(() => {
  rmSync(folder, { recursive: true });
});

async function completed(photo: Photo, cut: Cut): Promise<Photo> {
  const [input, output] = [join(folder, 'cut.png'), join(folder, 'whole.png')];
  await writeCut(input, photo, holeOf(photo, cut));
  await completeMaster({ input, output, overwrite: true });
  return readPhoto(output);
}

describe('an edge of a room that a hole interrupts', () => {
  it('is found as the great circle that it is, from rim to rim', async () => {
    const lines = await linesIn(seen, EDGE, false);
    expect(lines.length).toBe(1);
    const { pole, end, after } = lines[0]!;
    // A tenth of a pixel at the disc's rim, 20 degrees from where the line is best known.
    const off = Math.acos(Math.min(1, Math.abs(dot(pole, EDGE_POLE))));
    expect(off).toBeLessThan(0.3 * PIXEL);
    expect(end / DEGREE).toBeGreaterThan(38);
    expect(end / DEGREE).toBeLessThan(42);
    expect(after).toBeGreaterThan(10 * DEGREE);
  });

  it('goes on across the completed hole within half a pixel, and leaves what is known alone', async () => {
    const found = await completed(seen, EDGE);
    expect(changedPixels(found, seen, holeOf(seen, EDGE))).toBe(0);
    const line = exactEdge();
    let squares = 0;
    let count = 0;
    for (let lon = EDGE.longitude - 17; lon <= EDGE.longitude + 17; lon += 0.5) {
      // Where the edge runs at this longitude, as an angle along it.
      const d = unit([Math.tan(lon * DEGREE) * -ROOM.front, ROOM.ceiling, ROOM.front]);
      const t = Math.atan2(dot(d, line.along), dot(d, line.at));
      squares += edgeOff(found, line, t, 0) ** 2;
      count++;
      // Ceiling above, wall below, each in its own colour.
      for (const [side, colour] of [
        [1, 215],
        [-1, 90],
      ] as const) {
        const value = sample(found, besideLine(line, t, side * 3 * PIXEL), 0);
        expect(Math.abs(value - colour)).toBeLessThan(30);
      }
    }
    expect(Math.sqrt(squares / count)).toBeLessThan(0.5);
  }, 60_000);

  it('ends, without a partner, where it meets another', async () => {
    // The corner of ceiling, front and right wall: three edges enter and meet in it.
    const corner = unit([ROOM.right, ROOM.ceiling, ROOM.front]);
    const cut: Cut = {
      longitude: Math.atan2(corner[0], -corner[2]) / DEGREE,
      latitude: Math.asin(corner[1]) / DEGREE,
      radius: 12,
    };
    const lines = await linesIn(seen, cut, true);
    expect(lines.length).toBe(3);
    for (const line of lines) {
      expect(line.after).toBe(0);
      expect(Math.acos(dot(pointOn(line, line.end), corner))).toBeLessThan(1 * DEGREE);
    }
    expect(await linesIn(seen, cut, false)).toEqual([]);
  });
});

describe('a strip that a hole interrupts', () => {
  // A lamp of 5 degrees across a dark ceiling, off the middle of the cap: what lies between two planes through the eye.
  const pole = unit([0.15, 0.1, 1]);
  const edges = [0.044, -0.044].map((up) => unit([pole[0], pole[1] + up, pole[2]]));
  const lamp: Scene = (d) =>
    dot(d, edges[0]!) > 0 && dot(d, edges[1]!) < 0 ? [250, 245, 235] : [90, 95, 100];
  const cap: Cut = { longitude: 0, latitude: 90, radius: 30 };

  it('has two edges that go across together', async () => {
    const lines = await linesIn(drawScene(WIDTH, lamp), cap, false);
    expect(lines.length).toBe(2);
    for (const line of lines) {
      expect(line.strip).toBe(true);
      const nearest = Math.max(...edges.map((edge) => Math.abs(dot(edge, line.pole))));
      expect(Math.acos(Math.min(1, nearest))).toBeLessThan(0.3 * PIXEL);
    }
  });

  it('is crossed by no other edge', async () => {
    const side = unit([1, 0.05, 0.1]);
    const halves: Scene = (d) => {
      const colour = lamp(d);
      return colour[0] < 200 && dot(d, side) > 0 ? [150, 130, 110] : colour;
    };
    const lines = await linesIn(drawScene(WIDTH, halves), cap, false);
    expect(lines.map(({ strip }) => strip)).toEqual([true, true]);
  });

  it('is filled between them, and what is beside it is not', async () => {
    const whole = drawScene(WIDTH, lamp);
    const found = await completed(whole, cap);
    for (let azimuth = -25; azimuth <= 25; azimuth += 5) {
      const along: Direction = unit([Math.cos(0.15), 0, -0.15]);
      const up = unit([0, 1, -0.1]);
      const a = azimuth * DEGREE;
      const at = unit([
        Math.sin(a) * along[0] + Math.cos(a) * up[0],
        Math.sin(a) * along[1] + Math.cos(a) * up[1],
        Math.sin(a) * along[2] + Math.cos(a) * up[2],
      ]);
      const off = dot(at, pole);
      const middle = unit([at[0] - off * pole[0], at[1] - off * pole[1], at[2] - off * pole[2]]);
      const line = { ...exactEdge(), pole, at: middle };
      expect(sample(found, middle, 0)).toBeGreaterThan(215);
      for (const side of [-1, 1]) {
        expect(sample(found, besideLine(line, 0, side * 6 * DEGREE), 0)).toBeLessThan(125);
      }
    }
  }, 60_000);
});

describe('linesOf', () => {
  /** A light wall above the horizon; below it, what is on the left gives way to another colour on the right. */
  const twoWalls =
    (left: readonly [number, number, number]): Scene =>
    (d) => {
      const share = Math.min(1, Math.max(0, 0.5 + 2 * d[0]));
      const right = [210, 110, 200];
      const below = (c: 0 | 1 | 2) => left[c] + share * (right[c]! - left[c]);
      return d[1] > 0 ? [200, 200, 200] : [below(0), below(1), below(2)];
    };

  it('does not join edges of other colours, however straight', async () => {
    const cut: Cut = { longitude: 0, latitude: 0, radius: 15 };
    const lines = await linesIn(drawScene(512, twoWalls([130, 130, 130])), cut, true);
    expect(lines.length).toBe(2);
    for (const line of lines) {
      expect(line.after).toBe(0);
      expect(line.end).toBeLessThan(0.6 * 30 * DEGREE);
      expect(amount(line, 0)).toBe(1);
      expect(amount(line, line.end)).toBe(0);
    }
    expect(await linesIn(drawScene(512, twoWalls([130, 130, 130])), cut, false)).toEqual([]);
  });

  it('lets end what stands out as lamps and windows do', async () => {
    const cut: Cut = { longitude: 0, latitude: 0, radius: 15 };
    const lines = await linesIn(drawScene(512, twoWalls([20, 20, 20])), cut, true);
    expect(lines.length).toBe(1);
    expect(lines[0]!.at[0]).toBeGreaterThan(0);
  });

  it('finds the horizon', async () => {
    const lake: Scene = (d) => (d[1] > 0 ? [180, 200, 230] : [60, 90, 110]);
    const cut: Cut = { longitude: 30, latitude: 5, radius: 20 };
    const lines = await linesIn(drawScene(512, lake), cut, false);
    expect(lines.length).toBe(1);
    expect(Math.abs(lines[0]!.pole[1])).toBeGreaterThan(Math.cos(0.3 * PIXEL));
  });

  it('finds none among soft clouds', async () => {
    const clouds: Scene = (d) => {
      let v = 0;
      for (let k = 1; k <= 5; k++) {
        const f = 2 ** k;
        v +=
          (Math.sin(f * (d[0] + 0.7 * k)) * Math.sin(f * (1.3 * d[1] - k)) * Math.cos(f * d[2])) /
          k;
      }
      const share = Math.min(1, Math.max(0, 0.5 + 0.8 * v));
      return [90 + 150 * share, 130 + 110 * share, 210 + 40 * share];
    };
    const sky = drawScene(512, clouds);
    for (const cut of [
      { longitude: 0, latitude: 90, radius: 30 },
      { longitude: 60, latitude: 20, radius: 25 },
    ]) {
      expect(await linesIn(sky, cut, true)).toEqual([]);
    }
  });
});

it('directions of cuts are those of the room', () => {
  expect(dot(directionOf(EDGE.longitude, EDGE.latitude), EDGE_POLE)).toBeCloseTo(0, 2);
});
