import { cross, type Direction, dot, unit } from './sphere.js';
import type { Canvas } from './types.js';

/**
 * A square plane picture of the part of the sphere around `centre`, stereographic:
 * r = 2 tan(theta / 2) (Snyder, USGS Professional Paper 1395, p. 154). It keeps angles, so that
 * textures keep their shape, and harmonic functions stay harmonic: a membrane in it is the
 * sphere's own. Any point but the antipode is an ordinary one, the poles included.
 *
 * Plane pixels have their centres at half-integers, x to the right, y down.
 */
export interface Chart {
  readonly centre: Direction;
  readonly right: Direction;
  readonly up: Direction;
  /** Pixels along each side. */
  readonly size: number;
  /** Pixels per radian at the centre. */
  readonly scale: number;
}

/** The level frame at `centre`: right is east, up is north; at a pole, right is +x. */
export function levelFrame(centre: Direction): { right: Direction; up: Direction } {
  const flat = Math.hypot(centre[0], centre[2]);
  if (flat < 1e-9) return { right: [1, 0, 0], up: [0, 0, centre[1] > 0 ? 1 : -1] };
  const right: Direction = [-centre[2] / flat, 0, centre[0] / flat];
  return { right, up: unit(cross(right, centre)) };
}

/** Radius on the plane, in units of R = 1, of the circle `angle` radians around the centre. */
export const planeRadius = (angle: number): number => 2 * Math.tan(angle / 2);

/** A level chart that reaches `angle` radians from its centre to the middle of each side. */
export function chartAround(centre: Direction, angle: number, scale: number): Chart {
  const size = Math.max(8, 2 * Math.ceil(planeRadius(angle) * scale));
  return { centre, ...levelFrame(centre), size, scale };
}

/** Writes the direction of plane pixel position (x, y) to `out`. */
export function toDirection(chart: Chart, x: number, y: number, out: Float64Array): void {
  const { centre, right, up, size, scale } = chart;
  const p = (x - size / 2) / scale;
  const q = (size / 2 - y) / scale;
  const rr = p * p + q * q;
  const n = 1 / (4 + rr);
  const a = (4 - rr) * n;
  const b = 4 * p * n;
  const c = 4 * q * n;
  out[0] = a * centre[0] + b * right[0] + c * up[0];
  out[1] = a * centre[1] + b * right[1] + c * up[1];
  out[2] = a * centre[2] + b * right[2] + c * up[2];
}

/** The plane pixel position of a direction; far out, but finite, near the antipode. */
export function toPlane(chart: Chart, d: Direction): [x: number, y: number] {
  const s = (2 * chart.scale) / Math.max(1e-9, 1 + dot(d, chart.centre));
  return [chart.size / 2 + s * dot(d, chart.right), chart.size / 2 - s * dot(d, chart.up)];
}

/** A chart with the master's colours in it. */
export interface ChartPicture {
  readonly chart: Chart;
  /** RGB interleaved, 8-bit code values. */
  readonly rgb: Float32Array;
  /** 1 where the colour is known. */
  readonly known: Uint8Array;
}

/**
 * Draws the canvas into a chart, bilinearly; known only where all four pixels are. Give it a canvas
 * reduced to about the chart's scale (reduce), or it aliases.
 */
export function drawChart(canvas: Canvas, chart: Chart): ChartPicture {
  const { size } = chart;
  const { width, height, data, hole } = canvas;
  const unitValue = canvas.depth === 8 ? 1 : 1 / 257;
  const rgb = new Float32Array(size * size * 3);
  const known = new Uint8Array(size * size);
  const d = new Float64Array(3);
  for (let y = 0, i = 0; y < size; y++) {
    for (let x = 0; x < size; x++, i++) {
      toDirection(chart, x + 0.5, y + 0.5, d);
      const u = (Math.atan2(d[0]!, -d[2]!) / (2 * Math.PI) + 0.5) * width - 0.5;
      const v = (0.5 - Math.asin(Math.min(1, Math.max(-1, d[1]!))) / Math.PI) * height - 0.5;
      const u0 = Math.floor(u);
      const v0 = Math.floor(v);
      const fu = u - u0;
      const fv = v - v0;
      const left = u0 < 0 ? u0 + width : u0;
      const right = u0 + 1 >= width ? u0 + 1 - width : u0 + 1;
      const row0 = Math.max(0, v0) * width;
      const row1 = Math.min(height - 1, v0 + 1) * width;
      const a = row0 + left;
      const b = row0 + right;
      const c = row1 + left;
      const e = row1 + right;
      if (hole[a]! + hole[b]! + hole[c]! + hole[e]! > 0) continue;
      known[i] = 1;
      const wa = (1 - fu) * (1 - fv) * unitValue;
      const wb = fu * (1 - fv) * unitValue;
      const wc = (1 - fu) * fv * unitValue;
      const we = fu * fv * unitValue;
      for (let k = 0; k < 3; k++) {
        rgb[3 * i + k] =
          wa * data[3 * a + k]! +
          wb * data[3 * b + k]! +
          wc * data[3 * c + k]! +
          we * data[3 * e + k]!;
      }
    }
  }
  return { chart, rgb, known };
}
