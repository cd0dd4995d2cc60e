import type { Breathe } from '../breath.js';
import { type Chart, type ChartPicture, toPlane } from './chart.js';
import { solveBreathing } from './multigrid.js';
import type { Direction } from './sphere.js';
import type { Trend } from './trendModels.js';

/** Colours all over a chart, smooth enough to be read between pixels. */
export interface Field {
  readonly chart: Chart;
  /** RGB interleaved, 8-bit code values. */
  readonly rgb: Float32Array;
}

/** Adds `share` times the field's colour at plane pixel position (x, y) to out[0..2]. */
export function addField(
  field: Field,
  x: number,
  y: number,
  share: number,
  out: Float64Array,
): void {
  const { size } = field.chart;
  const u = Math.min(size - 1.001, Math.max(0, x - 0.5));
  const v = Math.min(size - 1.001, Math.max(0, y - 0.5));
  const x0 = Math.floor(u);
  const y0 = Math.floor(v);
  const fx = u - x0;
  const fy = v - y0;
  const p = 3 * (y0 * size + x0);
  const q = p + 3 * size;
  const wa = share * (1 - fx) * (1 - fy);
  const wb = share * fx * (1 - fy);
  const wc = share * (1 - fx) * fy;
  const wd = share * fx * fy;
  const { rgb } = field;
  for (let c = 0; c < 3; c++) {
    out[c]! += wa * rgb[p + c]! + wb * rgb[p + 3 + c]! + wc * rgb[q + c]! + wd * rgb[q + 3 + c]!;
  }
}

export function addFieldAt(field: Field, d: Direction, share: number, out: Float64Array): void {
  const [x, y] = toPlane(field.chart, d);
  addField(field, x, y, share, out);
}

/** The trend over a whole chart. */
function trendOver(chart: Chart, trend: Trend): Float32Array {
  const { size, scale } = chart;
  const rgb = new Float32Array(size * size * 3);
  const out = new Float64Array(3);
  for (let y = 0, i = 0; y < size; y++) {
    for (let x = 0; x < size; x++, i++) {
      const p = (x + 0.5 - size / 2) / scale;
      const q = (size / 2 - y - 0.5) / scale;
      const n = 1 / (4 + p * p + q * q);
      trend.at(4 * p * n, 4 * q * n, (4 - p * p - q * q) * n, out);
      rgb.set(out, 3 * i);
    }
  }
  return rgb;
}

/**
 * What each pixel holds once what stands out from the field (clouds before a clear sky) is let go of,
 * as far as most of what suits does not.
 */
function easedOff(hold: Float64Array, picture: ChartPicture, field: Float32Array): Float64Array {
  const { rgb, known } = picture;
  const most = hold.reduce((a, b) => Math.max(a, b), 0);
  const off = new Float64Array(hold.length);
  const all: number[] = [];
  for (let i = 0; i < off.length; i++) {
    if (!known[i]) continue;
    for (let c = 0; c < 3; c++) off[i]! += (rgb[3 * i + c]! - field[3 * i + c]!) ** 2 / 3;
    if (hold[i]! > 0.5 * most) all.push(off[i]!);
  }
  all.sort((a, b) => a - b);
  const usual = 2 * (all[all.length >> 1] ?? 0) + 9;
  return hold.map((h, i) => h / (1 + off[i]! / usual) ** 2);
}

/**
 * A smooth field over a picture's holes: the trend plus a membrane stretched over what the trend
 * leaves. `hold` says how strongly each known pixel holds the membrane (FIXED: it passes through
 * the pixel; 1 / L^2: it follows the pixels' average over about L pixels). With `rounds` above 1 the
 * pixels are weighed anew against each field: it settles on the background.
 */
export async function stretch(
  picture: ChartPicture,
  trend: Trend,
  hold: Float64Array,
  breathe: Breathe,
  rounds = 1,
): Promise<Field> {
  const { chart, rgb, known } = picture;
  const { size } = chart;
  const base = trendOver(chart, trend);
  let field = base;
  const value = new Float64Array(size * size);
  for (let round = 0; round < rounds; round++) {
    const holding = rounds > 1 ? easedOff(hold, picture, field) : hold;
    const weight = holding.map((h, i) => (known[i] ? h : 0));
    field = base.slice();
    for (let c = 0; c < 3; c++) {
      for (let i = 0; i < value.length; i++) {
        value[i] = known[i] ? rgb[3 * i + c]! - base[3 * i + c]! : 0;
      }
      const plane = { width: size, height: size, weight, value };
      const { f } = await solveBreathing(plane, breathe, 2e-3, 25);
      for (let i = 0; i < f.length; i++) field[3 * i + c]! += f[i]!;
    }
  }
  return { chart, rgb: field };
}

/** Known pixels that touch the hole, softened along the rim so that grain does not run into the fill. */
export function soften(picture: ChartPicture, reach: number): ChartPicture {
  const { chart, rgb, known } = picture;
  const { size } = chart;
  const out = rgb.slice();
  for (let y = reach; y < size - reach; y++) {
    for (let x = reach; x < size - reach; x++) {
      const i = y * size + x;
      if (!known[i] || (known[i - 1] && known[i + 1] && known[i - size] && known[i + size]))
        continue;
      const sum = [0, 0, 0];
      let n = 0;
      for (let dy = -reach; dy <= reach; dy++) {
        for (let dx = -reach; dx <= reach; dx++) {
          const q = i + dy * size + dx;
          if (!known[q]) continue;
          n++;
          for (let c = 0; c < 3; c++) sum[c]! += rgb[3 * q + c]!;
        }
      }
      for (let c = 0; c < 3; c++) out[3 * i + c] = sum[c]! / n;
    }
  }
  return { chart, rgb: out, known };
}
