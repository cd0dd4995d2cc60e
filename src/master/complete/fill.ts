import { smoothStep } from '../../math.js';
import { type Atlas, drawAtlas, HALF } from './atlas.js';
import {
  type Chart,
  type ChartPicture,
  chartAround,
  drawChart,
  planeRadius,
  toDirection,
} from './chart.js';
import { Copier, correct, type Rim } from './compose.js';
import { addField, type Field, soften, stretch } from './field.js';
import { addGrain } from './grain.js';
import { lightBefore } from './light.js';
import type { Material } from './material.js';
import { FIXED } from './multigrid.js';
import type { Matching } from './patchmatch.js';
import { goesOn, type Tops, topsOf } from './prolong.js';
import { generator } from './random.js';
import { reachOf, sourceCharts } from './sources.js';
import { angleBetween } from './sphere.js';
import {
  canvasScale,
  DEGREE,
  holding,
  marginOf,
  materialAndTrend,
  type Surroundings,
} from './surroundings.js';
import { depthOf, refine, startMatching } from './texture.js';
import type { Trend } from './trendModels.js';
import type { Rgb } from './types.js';

/** Paints a hole: adds its colour at a position of its chart to out[0..2], 8-bit code values. */
export interface Paint {
  readonly chart: Chart;
  add(x: number, y: number, out: Float64Array): void;
  /** What the rim cuts and what is to go on over the paint. */
  readonly tops?: Tops | undefined;
}

/** Pixels across a hole: of the membrane, and of the finest level of matching. */
const MEMBRANE_ACROSS = 700;
const MATCHING_ACROSS = 620;
const LOW_SIZE = 320;
/** How far structures of the rim are carried into a hole of this radius, radians. */
const carriedWay = (radius: number) => Math.min(5 * DEGREE, 0.3 * radius);

/** How far what does not suit the hole may go on into it where the rim cuts it. */
const FOREIGN_WAY = 4 * DEGREE;

async function membrane(
  around: Surroundings,
  material: Material,
  trend: Trend,
  tops?: Tops,
): Promise<Field> {
  const { hole, canvas, reductions } = around;
  const scale = Math.min(canvasScale(canvas), MEMBRANE_ACROSS / 2 / planeRadius(hole.radius));
  const chart = chartAround(hole.centre, hole.radius + marginOf(around), scale);
  const picture = soften(drawChart(await reductions.atScale(scale), chart), 2);
  const hold = holding(chart, material, FIXED);
  const hidden = hiddenBy(tops, chart);
  const held = hold.map((h, i) => (hidden[i] ? 0 : h));
  return stretch(picture, trend, held, around.breathe);
}

/** 1 for each pixel of a chart in a direction in which a top hides how the fill joins. */
function hiddenBy(tops: Tops | undefined, chart: Chart): Uint8Array {
  const out = new Uint8Array(chart.size * chart.size);
  if (tops === undefined) return out;
  const d = new Float64Array(3);
  for (let i = 0; i < out.length; i++) {
    toDirection(chart, (i % chart.size) + 0.5, Math.floor(i / chart.size) + 0.5, d);
    out[i] = goesOn(tops, d) ? 1 : 0;
  }
  return out;
}

/** The smooth fill: trend and membrane, with the surroundings' grain. */
export async function smoothPaint(around: Surroundings): Promise<Paint> {
  const { material, trend } = await materialAndTrend(around);
  const tops = await topsOf(around.canvas, around.hole, material, () =>
    lowField(around, material, trend),
  );
  const field = await membrane(around, material, trend, tops);
  const fine = canvasScale(around.canvas) / field.chart.scale;
  return {
    chart: field.chart,
    tops,
    add(x, y, out) {
      addField(field, x, y, 1, out);
      addGrain(around.grain, x * fine, y * fine, around.seed, out);
    },
  };
}

/** Pixels. */
const LEAST_FEATHER = 4;

/** One colour, with the membrane's as a soft way to it from the rim over `feather` radians. */
export async function colourPaint(
  around: Surroundings,
  colour: Rgb | undefined,
  feather: number,
): Promise<Paint> {
  const { material, trend } = await materialAndTrend(around);
  const field = await membrane(around, material, trend);
  const { chart } = field;
  const { known } = drawChart(await around.reductions.atScale(chart.scale), chart);
  const inward = depthOf(known, chart.size);
  const depth = Float32Array.from(
    { length: 3 * known.length },
    (_, i) => inward[Math.floor(i / 3)]!,
  );
  const plain = colour ?? meanOf(field);
  const steps = new Float64Array(3);
  const width = Math.max(LEAST_FEATHER, feather * chart.scale);
  return {
    chart,
    add(x, y, out) {
      steps.fill(0);
      addField({ chart, rgb: depth }, x, y, 1, steps);
      const share = smoothStep(steps[0]! / width);
      addField(field, x, y, 1 - share, out);
      for (let c = 0; c < 3; c++) out[c]! += share * plain[c]!;
    },
  };
}

function meanOf(field: Field): Rgb {
  const sum = [0, 0, 0];
  for (let i = 0; i < field.rgb.length; i++) sum[i % 3]! += field.rgb[i]!;
  const n = field.rgb.length / 3;
  return [sum[0]! / n, sum[1]! / n, sum[2]! / n];
}

/** 1 for each pixel of a chart that does not suit. */
function foreignTo(material: Material, chart: Chart): Uint8Array {
  return Uint8Array.from(holding(chart, material, 1), (h) => (h < 1 ? 1 : 0));
}

/** The low field under the texture, wide enough for every source. */
async function lowField(around: Surroundings, material: Material, trend: Trend): Promise<Field> {
  const { hole, reductions } = around;
  const reach = Math.min(
    165 * DEGREE,
    hole.radius + Math.max(marginOf(around), 2.2 * reachOf(hole)),
  );
  const scale = Math.min(canvasScale(around.canvas), LOW_SIZE / 2 / planeRadius(reach));
  const picture = drawChart(
    await reductions.atScale(scale),
    chartAround(hole.centre, reach, scale),
  );
  const length = Math.min(15 * DEGREE, Math.max(1 * DEGREE, 0.35 * hole.radius)) * scale;
  const hold = holding(picture.chart, material, 1 / length ** 2);
  // What is beside the rim counts most: farther down, haze and cloud hide the sky's own colour.
  const d = new Float64Array(3);
  const { size } = picture.chart;
  for (let i = 0; i < hold.length; i++) {
    toDirection(picture.chart, (i % size) + 0.5, Math.floor(i / size) + 0.5, d);
    const beyond = angleBetween(hole.centre, [d[0]!, d[1]!, d[2]!]) - hole.radius;
    hold[i]! *= Math.exp(-Math.max(0, beyond) / (0.35 * hole.radius));
  }
  return stretch(picture, trend, hold, around.breathe, 4);
}

/**
 * The texture fill: what the low field leaves of the surroundings is completed by patches from
 * coarse to fine, then copied at full resolution and corrected so that it joins. It takes seconds:
 * what the surroundings' `breathe` throws in between ends it.
 */
export async function texturePaint(
  around: Surroundings,
  onShare: (share: number) => void,
): Promise<Paint> {
  const { hole, canvas, reductions, seed, breathe } = around;
  const { material, trend } = await materialAndTrend(around);
  await breathe();
  const low = await lowField(around, material, trend);
  await breathe();
  const tops = await topsOf(canvas, hole, material, async () => low);
  await breathe();
  const scale = Math.min(canvasScale(canvas), MATCHING_ACROSS / 2 / planeRadius(hole.radius));
  const acrossHole = 2 * planeRadius(hole.radius) * scale;
  const levels = Math.max(0, Math.min(6, Math.floor(Math.log2(acrossHole / 28))));
  const multiple = 2 ** levels;
  const reach = hole.radius + Math.max(marginOf(around), (3 * HALF * multiple) / scale);
  const fitted = chartAround(hole.centre, Math.min(reach, 165 * DEGREE), scale);
  const target: Chart = { ...fitted, size: multiple * Math.ceil(fitted.size / multiple) };
  const charts = sourceCharts(hole, target, multiple, seed);
  const random = generator(seed);
  const light = lightBefore(hole, low);
  let coarser: { matching: Matching; atlas: Atlas } | undefined;
  let picture: ChartPicture | undefined;
  for (let level = levels; level >= 0; level--) {
    const by = 2 ** level;
    const shrunk = (c: Chart): Chart => ({ ...c, size: c.size / by, scale: c.scale / by });
    const own = shrunk(target);
    picture = drawChart(await reductions.atScale(own.scale), own);
    await breathe();
    const atlas = await drawAtlas(picture, charts.map(shrunk), reductions, low, material, light);
    const rounds = level === levels ? 4 : level > 1 ? 5 : level === 1 ? 3 : 2;
    const options = {
      random,
      level: hole.pole === 0 ? 4e4 : 0,
      way: Math.max(0.5, FOREIGN_WAY * own.scale),
      hidden: hiddenBy(tops, own),
    };
    const matching = startMatching(picture, atlas, coarser, options);
    const passes = level === levels ? 4 : 2;
    await refine(matching, atlas, picture, rounds, passes, options, breathe, level === levels);
    coarser = { matching, atlas };
    // Each level has four times the pixels of the one before.
    onShare(4 ** -level);
    await breathe();
  }
  const { matching, atlas } = coarser!;
  const rim: Rim = {
    known: picture!.known,
    foreign: foreignTo(material, target),
    hidden: hiddenBy(tops, target),
    glow: hole.pole > 0,
    edgeLength: Math.max(1.5, 1 * DEGREE * scale),
    way: carriedWay(hole.radius) * scale,
  };
  const correction = await correct(matching, atlas, rim, breathe);
  const copier = new Copier(matching, atlas, correction, canvas);
  return { chart: target, tops, add: (x, y, out) => copier.add(x, y, out) };
}
