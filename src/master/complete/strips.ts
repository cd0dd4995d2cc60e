import { smoothStep } from '../../math.js';
import type { Breathe } from '../breath.js';
import { type Chart, toDirection } from './chart.js';
import type { Field } from './field.js';
import { amount, angleOn } from './lines.js';
import { FIXED, solveBreathing } from './multigrid.js';
import { across, addRibbons, type Ribbon, shareOfWay } from './ribbons.js';
import { type Direction, dot } from './sphere.js';

/** Pixels to either side of a line whose change is its own: wholly, and not any more. */
const OWN = 1.5;
const SIDE = 4;

/**
 * What strips come to beyond their edges' ribbons: the field that changes across each edge as the picture
 * does beside the edge's ends, and nowhere else, less those ribbons. It is smooth, so a coarse chart will
 * do. `known` pixels draw it to 0 over about `reach` pixels; it is 0 at the chart's edge.
 */
export async function stripField(
  chart: Chart,
  known: Uint8Array,
  strips: readonly Ribbon[],
  reach: number,
  breathe: Breathe,
): Promise<Field> {
  const { size, scale } = chart;
  const count = size * size;
  const own = new Float32Array(3 * count);
  const d = new Float64Array(3);
  const out = new Float64Array(3);
  const directions: Direction[] = Array.from({ length: count }, (_, i) => {
    toDirection(chart, (i % size) + 0.5, Math.floor(i / size) + 0.5, d);
    const here: Direction = [d[0]!, d[1]!, d[2]!];
    out.fill(0);
    addRibbons(strips, here, out);
    own.set(out, 3 * i);
    return here;
  });
  const links = [1, size].map((step) => ({
    step,
    wanted: new Float32Array(3 * count),
    share: new Float32Array(count),
  }));
  for (const { line, first, last } of strips) {
    await breathe();
    const s = new Float32Array(count).fill(Number.NaN);
    const t = new Float32Array(count);
    directions.forEach((here, i) => {
      const sine = dot(here, line.pole);
      if (Math.abs(sine) * scale > SIDE + 2) return;
      s[i] = Math.asin(sine);
      t[i] = angleOn(line, here);
    });
    for (const { wanted, share, step } of links) {
      for (let i = 0; i + step < count; i++) {
        const j = i + step;
        if (Number.isNaN(s[i]!) || Number.isNaN(s[j]!) || (step === 1 && j % size === 0)) continue;
        const off = 0.5 * Math.abs(s[i]! + s[j]!) * scale;
        const at = 0.5 * (t[i]! + t[j]!);
        const part = 1 - smoothStep((off - OWN) / (SIDE - OWN));
        const w = part * amount(line, at);
        if (w <= 0) continue;
        share[i]! += part;
        const m = shareOfWay(line, at);
        for (let c = 0; c < 3; c++) {
          wanted[3 * i + c]! +=
            w *
            ((1 - m) * (across(first, s[j]!, c) - across(first, s[i]!, c)) +
              m * (across(last, s[j]!, c) - across(last, s[i]!, c)));
        }
      }
    }
  }
  const weight = Float64Array.from(known, (k) => (k ? 1 / reach ** 2 : 0));
  for (let i = 0; i < size; i++) {
    for (const edge of [i, count - size + i, i * size, i * size + size - 1]) weight[edge] = FIXED;
  }
  const value = new Float64Array(count);
  const rgb = new Float32Array(3 * count);
  for (let c = 0; c < 3; c++) {
    const divergence = new Float64Array(count);
    for (const { wanted, share, step } of links) {
      for (let i = 0; i + step < count; i++) {
        if (step === 1 && (i + 1) % size === 0) continue;
        const jump =
          wanted[3 * i + c]! / Math.max(1, share[i]!) -
          (own[3 * (i + step) + c]! - own[3 * i + c]!);
        divergence[i]! -= jump;
        divergence[i + step]! += jump;
      }
    }
    const plane = { width: size, height: size, weight, value, divergence };
    const { f } = await solveBreathing(plane, breathe, 2e-2, 25);
    for (let i = 0; i < count; i++) rgb[3 * i + c] = f[i]!;
  }
  return { chart, rgb };
}
