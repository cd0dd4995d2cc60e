import { type Chart, levelFrame, toDirection } from './chart.js';
import { type Grain, NO_GRAIN } from './grain.js';
import type { Hole } from './holes.js';
import { generator } from './random.js';
import { addSample } from './sample.js';
import { type Direction, unit } from './sphere.js';
import type { Canvas } from './types.js';

const BLOCK = 10;
const TRIES = 600;

interface BlockStatistics {
  readonly sigma: number;
  readonly covariance: readonly number[];
  readonly correlation: number;
}

/** Statistics of what is left of a block once a plane is taken off each channel. */
export function blockStatistics(rgb: Float64Array, side: number): BlockStatistics {
  const n = side * side;
  const middle = (side - 1) / 2;
  let moment = 0;
  for (let i = 0; i < side; i++) moment += side * (i - middle) ** 2;
  const rest = new Float64Array(n * 3);
  for (let c = 0; c < 3; c++) {
    let mean = 0;
    let sx = 0;
    let sy = 0;
    for (let i = 0; i < n; i++) {
      const value = rgb[3 * i + c]!;
      mean += value / n;
      sx += (value * ((i % side) - middle)) / moment;
      sy += (value * (Math.floor(i / side) - middle)) / moment;
    }
    for (let i = 0; i < n; i++) {
      rest[3 * i + c] =
        rgb[3 * i + c]! - mean - sx * ((i % side) - middle) - sy * (Math.floor(i / side) - middle);
    }
  }
  const covariance = [0, 0, 0, 0, 0, 0];
  let own = 0;
  let lagged = 0;
  const luma = (i: number) =>
    0.2126 * rest[3 * i]! + 0.7152 * rest[3 * i + 1]! + 0.0722 * rest[3 * i + 2]!;
  for (let i = 0; i < n; i++) {
    for (let a = 0, k = 0; a < 3; a++) {
      for (let b = 0; b <= a; b++, k++)
        covariance[k]! += (rest[3 * i + a]! * rest[3 * i + b]!) / (n - 3);
    }
    own += luma(i) ** 2 / (n - 3);
    if (i % side < side - 1) lagged += (luma(i) * luma(i + 1)) / (side * (side - 1));
  }
  return { sigma: Math.sqrt(own), covariance, correlation: own > 1e-9 ? lagged / own : 0 };
}

/**
 * Measures the grain beside a hole's rim, in level plane blocks at the canvas's own scale; the
 * smoothest quarter of the blocks counts, the others hold texture as well.
 */
export function measureGrain(canvas: Canvas, hole: Hole, seed: number): Grain {
  const random = generator(seed);
  const scale = canvas.width / (2 * Math.PI);
  const frame = levelFrame(hole.centre);
  const found: BlockStatistics[] = [];
  for (let n = 0; n < TRIES; n++) {
    const angle =
      hole.radius + (BLOCK / scale) * (0.8 + 8 * random() * random() + 0.05 * scale * random());
    const azimuth = 2 * Math.PI * random();
    const [ca, sa] = [Math.cos(angle), Math.sin(angle)];
    const at = (k: 0 | 1 | 2) =>
      ca * hole.centre[k] +
      sa * (Math.cos(azimuth) * frame.right[k] + Math.sin(azimuth) * frame.up[k]);
    const block = readBlock(canvas, unit([at(0), at(1), at(2)]), scale);
    if (block) found.push(blockStatistics(block, BLOCK));
  }
  if (found.length === 0) return NO_GRAIN;
  found.sort((a, b) => a.sigma - b.sigma);
  const smooth = found.slice(0, Math.max(1, Math.floor(found.length / 4)));
  const mean = (f: (s: BlockStatistics) => number) =>
    smooth.reduce((sum, s) => sum + f(s), 0) / smooth.length;
  const cov = Array.from({ length: 6 }, (_, k) => mean((s) => s.covariance[k]!));
  const correlation = Math.min(
    0.9,
    Math.max(
      0,
      mean((s) => s.correlation),
    ),
  );
  return { factor: cholesky(cov), sigma: mean((s) => s.sigma), step: 1 + 2 * correlation ** 2 };
}

function readBlock(canvas: Canvas, centre: Direction, scale: number): Float64Array | undefined {
  const chart: Chart = { centre, ...levelFrame(centre), size: BLOCK, scale };
  const block = new Float64Array(BLOCK * BLOCK * 3);
  const d = new Float64Array(3);
  const sum = new Float64Array(3);
  for (let y = 0, i = 0; y < BLOCK; y++) {
    for (let x = 0; x < BLOCK; x++, i++) {
      toDirection(chart, x + 0.5, y + 0.5, d);
      const u = Math.floor((Math.atan2(d[0]!, -d[2]!) / (2 * Math.PI) + 0.5) * canvas.width);
      const v = Math.floor((0.5 - Math.asin(d[1]!) / Math.PI) * canvas.height);
      const p = Math.min(canvas.height - 1, v) * canvas.width + Math.min(canvas.width - 1, u);
      if (canvas.hole[p]) return undefined;
      sum.fill(0);
      addSample(canvas, d[0]!, d[1]!, d[2]!, 1, sum);
      block.set(sum, 3 * i);
    }
  }
  return block;
}

function cholesky(c: readonly number[]): Grain['factor'] {
  const l00 = Math.sqrt(Math.max(0, c[0]!));
  const l10 = l00 > 0 ? c[1]! / l00 : 0;
  const l11 = Math.sqrt(Math.max(0, c[2]! - l10 * l10));
  const l20 = l00 > 0 ? c[3]! / l00 : 0;
  const l21 = l11 > 0 ? (c[4]! - l20 * l10) / l11 : 0;
  return [l00, l10, l11, l20, l21, Math.sqrt(Math.max(0, c[5]! - l20 * l20 - l21 * l21))];
}
