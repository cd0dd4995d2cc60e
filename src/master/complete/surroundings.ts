import type { Breathe } from '../breath.js';
import { type Chart, chartAround, drawChart, planeRadius, toDirection } from './chart.js';
import { clearSky } from './clearSky.js';
import type { Grain } from './grain.js';
import type { Hole } from './holes.js';
import { type Material, materialFor, suitsAt } from './material.js';
import type { Reductions } from './reduce.js';
import { angleBetween, type Direction, direction, dot, unit } from './sphere.js';
import { fitTrend } from './trend.js';
import type { Samples, Trend } from './trendModels.js';
import type { Canvas } from './types.js';

/** A hole and what its fill is made from. */
export interface Surroundings {
  readonly canvas: Canvas;
  readonly reductions: Reductions;
  readonly hole: Hole;
  readonly seed: number;
  readonly grain: Grain;
  readonly breathe: Breathe;
}

/** Of the sky behind clouds: what is seen of it is already its darkest. */
const CLEAR_BEYOND = 0.15;

export const DEGREE = Math.PI / 180;

/** Pixels per radian along the equator. */
export const canvasScale = (canvas: Canvas): number => canvas.width / (2 * Math.PI);

/** How far beyond the rim a hole's own chart reaches, radians. */
export function marginOf({ canvas, hole }: Surroundings): number {
  const margin = Math.max(12 / canvasScale(canvas), Math.min(0.35 * hole.radius, 20 * DEGREE));
  return Math.min(margin, 165 * DEGREE - hole.radius);
}

/** Points around the hole of the material that suits, for the trend. */
async function samplesAround(around: Surroundings, material: Material): Promise<Samples> {
  const { hole, reductions, canvas } = around;
  // A cap is foretold from one side only, and far; any other hole is known all round: look close by.
  const far = hole.pole === 0 ? 0.35 * hole.radius : Math.min(30 * DEGREE, hole.radius);
  const reach = Math.min(165 * DEGREE, hole.radius + Math.max(3 * DEGREE, far));
  const scale = Math.min(canvasScale(canvas), 90 / planeRadius(reach));
  const picture = drawChart(
    await reductions.atScale(scale),
    chartAround(hole.centre, reach, scale),
  );
  const { chart, rgb, known } = picture;
  const local: number[] = [];
  const colours: number[] = [];
  const weight: number[] = [];
  const d = new Float64Array(3);
  for (let i = 0; i < known.length; i++) {
    toDirection(chart, (i % chart.size) + 0.5, Math.floor(i / chart.size) + 0.5, d);
    const angle = angleBetween(hole.centre, [d[0]!, d[1]!, d[2]!]);
    if (!known[i] || angle > reach || !suitsAt(material, d)) continue;
    // Burnt-out places say nothing about the slope.
    if (Math.min(rgb[3 * i]!, rgb[3 * i + 1]!, rgb[3 * i + 2]!) > 250) continue;
    const along = (axis: readonly number[]) =>
      d[0]! * axis[0]! + d[1]! * axis[1]! + d[2]! * axis[2]!;
    local.push(along(chart.right), along(chart.up), along(chart.centre));
    for (let c = 0; c < 3; c++) colours.push(rgb[3 * i + c]!);
    weight.push(Math.exp(-(angle - hole.radius) / (10 * DEGREE)));
  }
  return {
    count: weight.length,
    local: Float64Array.from(local),
    rgb: Float64Array.from(colours),
    weight: Float64Array.from(weight),
    light: local3(
      brightest(await reductions.byFactor(Math.max(1, Math.round(canvas.width / 256)))),
      chart,
    ),
  };
}

function local3(d: Direction, chart: Chart): [number, number, number] {
  return [dot(d, chart.right), dot(d, chart.up), dot(d, chart.centre)];
}

/** Where the light comes from: the middle of the brightest hundredth of the upper half. */
function brightest(canvas: Canvas): Direction {
  const { width, height, data, hole } = canvas;
  const lumas: number[] = [];
  const luma = (i: number) =>
    data[3 * i]! * 0.2126 + data[3 * i + 1]! * 0.7152 + data[3 * i + 2]! * 0.0722;
  const end = Math.floor(height / 2) * width;
  for (let i = 0; i < end; i++) if (!hole[i]) lumas.push(luma(i));
  lumas.sort((a, b) => a - b);
  const limit = lumas[Math.floor(0.98 * lumas.length)] ?? 0;
  const sum: [number, number, number] = [0, 0, 0];
  for (let i = 0; i < end; i++) {
    if (hole[i] || luma(i) < limit) continue;
    const latitude = (0.5 - (Math.floor(i / width) + 0.5) / height) * Math.PI;
    const d = direction((((i % width) + 0.5) / width - 0.5) * 2 * Math.PI, latitude);
    for (const k of [0, 1, 2] as const) sum[k] += d[k] * Math.cos(latitude);
  }
  return Math.hypot(...sum) > 0 ? unit(sum) : [0, 1, 0];
}

/** How strongly each pixel of a chart holds the membrane: what does not suit holds hardly. */
export function holding(chart: Chart, material: Material, strength: number): Float64Array {
  const hold = new Float64Array(chart.size * chart.size);
  const d = new Float64Array(3);
  for (let i = 0; i < hold.length; i++) {
    toDirection(chart, (i % chart.size) + 0.5, Math.floor(i / chart.size) + 0.5, d);
    hold[i] = suitsAt(material, d) ? strength : Math.min(strength, 1) * 0.002;
  }
  return hold;
}

export async function materialAndTrend(
  around: Surroundings,
): Promise<{ material: Material; trend: Trend }> {
  const { reductions, canvas, hole, seed, breathe } = around;
  const coarse = await reductions.byFactor(Math.max(1, Math.ceil(canvas.width / 2048)));
  const material = materialFor(coarse, hole, seed);
  await breathe();
  const samples = await samplesAround(around, material);
  await breathe();
  const trend = fitTrend(samples, hole.pole === 0 ? 4 : 12);
  if (hole.pole <= 0) return { material, trend };
  // Broken cloud hides the sky behind it, or bends its slope.
  const clear = clearSky(samples);
  const behind = clear && fitTrend(clear, 12, CLEAR_BEYOND);
  const better =
    behind?.name === 'sloped' && (trend.name === 'level' || behind.miss < 0.5 * trend.miss);
  return { material, trend: better ? behind : trend };
}
