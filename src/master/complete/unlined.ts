import type { Breathe } from '../breath.js';
import { chartAround, drawChart, planeRadius, toPlane } from './chart.js';
import { addField, type Field } from './field.js';
import type { Hole } from './holes.js';
import { lineEnds } from './lineEnds.js';
import { linesOf } from './lines.js';
import { addRibbons, type Ribbon, ribbonsOf } from './ribbons.js';
import { type Direction, dot } from './sphere.js';
import { stripField } from './strips.js';
import { canvasScale, DEGREE, type Surroundings } from './surroundings.js';
import type { Easel } from './write.js';

/** What the lines across a hole come to, over the hole and around it. */
export interface Across {
  readonly ribbons: readonly Ribbon[];
  /** What strips have beyond their ribbons. */
  readonly strips: Field | undefined;
  /** From the hole's centre, radians. */
  readonly reach: number;
}

/** Pixels across a hole in which lines are looked for, and the fewest. */
const PIXELS = 200;
const FEWEST = 24;
/** No line is looked for around a hole of more. */
const WIDEST = 85 * DEGREE;
/** How far around a hole lines are followed, and how far strips may be felt. */
const FOLLOWED = 20 * DEGREE;
const FELT = 40 * DEGREE;
/** Half of a ribbon's width, pixels. */
const RIBBON = 6;

/** Finds the straight edges that go on across a hole; undefined where there are none. */
export async function linesAcross(around: Surroundings): Promise<Across | undefined> {
  const { hole, canvas, reductions, breathe } = around;
  if (hole.radius > WIDEST) return undefined;
  const scale = Math.min(canvasScale(canvas), PIXELS / 2 / planeRadius(hole.radius));
  if (2 * planeRadius(hole.radius) * scale < FEWEST) return undefined;
  const reduced = await reductions.atScale(scale);
  const reach = hole.radius + FOLLOWED;
  const picture = drawChart(reduced, chartAround(hole.centre, reach, scale));
  await breathe();
  const ends = await lineEnds(picture, FOLLOWED, breathe);
  // Around a pole, what ends in the hole does so as a top.
  const lines = linesOf(ends, picture, hole.pole === 0);
  const ribbons = ribbonsOf(canvas, lines, 1 / scale, RIBBON / scale);
  if (ribbons.length === 0) return undefined;
  const edges = ribbons.filter(({ line }) => line.strip);
  if (edges.length === 0) return { ribbons, strips: undefined, reach };
  const chart = chartAround(hole.centre, hole.radius + FELT, scale);
  const { known } = drawChart(reduced, chart);
  const far = 3 * hole.radius * scale;
  const strips = await stripField(chart, known, edges, far, breathe);
  return { ribbons, strips, reach: hole.radius + FELT };
}

/** Adds `share` of what lines come to to all pixels of a kind: the hole's own, or those that are known. */
async function addLines(
  on: Easel,
  hole: Hole,
  { ribbons, strips, reach }: Across,
  share: 1 | -1,
  each: (y: number) => void,
  breathe: Breathe,
): Promise<void> {
  const { canvas, angles, map, columns, rows } = on;
  const { width, height, data } = canvas;
  const top = canvas.depth === 8 ? 255 : 65535;
  const within = Math.cos(reach);
  const out = new Float64Array(3);
  const last = strips ? strips.chart.size - 1 : 0;
  for (let y = 0; y < height; y++) {
    const [sy, cy] = [angles.sinLatitude[y]!, angles.cosLatitude[y]!];
    // The nearest to the centre that this row comes.
    const flat = Math.hypot(hole.centre[0], hole.centre[2]);
    if (sy * hole.centre[1] + cy * flat < within) continue;
    if (y % 64 === 0) await breathe();
    each(y);
    for (let x = 0; x < width; x++) {
      const i = y * width + x;
      const wanted =
        share < 0
          ? canvas.hole[i] === 0
          : canvas.hole[i] === 1 && map.labels[rows[y]! * map.width + columns[x]!] === hole.label;
      if (!wanted) continue;
      const d: Direction = [cy * angles.sinLongitude[x]!, sy, -cy * angles.cosLongitude[x]!];
      if (dot(d, hole.centre) < within) continue;
      out.fill(0);
      addRibbons(ribbons, d, out);
      if (strips) {
        const [px, py] = toPlane(strips.chart, d);
        if (px > 1 && py > 1 && px < last && py < last) addField(strips, px, py, 1, out);
      }
      for (let c = 0; c < 3; c++) {
        const value = data[3 * i + c]! + (share * out[c]! * top) / 255;
        data[3 * i + c] = value <= 0 ? 0 : value >= top ? top : Math.round(value);
      }
    }
  }
}

/**
 * Lets `fill` complete a hole as if no lines crossed it: they are taken off what surrounds the hole and
 * laid over it, with its fill, afterwards. Known pixels are put back as they were.
 */
export async function withoutLines<T>(
  on: Easel,
  around: Surroundings,
  fill: () => Promise<T>,
): Promise<T> {
  const across = await linesAcross(around);
  if (!across) return fill();
  const { hole, breathe, reductions } = around;
  const { canvas } = on;
  const { width, data } = canvas;
  const kept = new Map<number, Uint8Array | Uint16Array>();
  const keep = (y: number) => kept.set(y, data.slice(3 * y * width, 3 * (y + 1) * width));
  await addLines(on, hole, across, -1, keep, breathe);
  reductions.forget();
  const result = await fill();
  await addLines(on, hole, across, 1, () => {}, breathe);
  for (const [y, row] of kept) {
    for (let x = 0; x < width; x++) {
      if (canvas.hole[y * width + x]) continue;
      for (let c = 0; c < 3; c++) data[3 * (y * width + x) + c] = row[3 * x + c]!;
    }
  }
  reductions.forget();
  return result;
}
