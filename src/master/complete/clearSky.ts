import type { Samples } from './trendModels.js';

const RINGS = 8;
const SECTORS = 24;
/** The part of each cell, from the darkest up, that is taken for the sky behind the clouds. */
const FROM = 0.08;
const TO = 0.3;
const LEAST = 12;
/** Code values by which the sky behind clouds must be bluer, blue over red, than all together. */
const BLUER = 5;
/** Share of its ring's usual blueness below which a cell is cloud all over. */
const COVERED = 0.5;

const blueness = (point: readonly number[]) => point[5]! - point[3]!;

/** The points of a ring in which sky is seen. */
function openOnly(ring: number[][]): number[][] {
  const sorted = ring.map(blueness).sort((a, b) => a - b);
  const usual = sorted[Math.floor(0.75 * (sorted.length - 1))] ?? 0;
  return ring.filter((p) => blueness(p) >= Math.max(BLUER, COVERED * usual));
}

/**
 * The clear sky behind broken cloud: what is darkest in each of many cells around the hole, one point a
 * cell. Clouds are brighter and whiter than the sky between them; where what is darkest is not bluer, it
 * is no sky, and there is no answer. Cells that cloud covers all over say nothing and are left out.
 */
export function clearSky(samples: Samples): Samples | undefined {
  const { count, local, rgb } = samples;
  const heights = Float64Array.from({ length: count }, (_, i) => local[3 * i + 2]!);
  const low = heights.reduce((a, b) => Math.min(a, b), 1);
  const high = heights.reduce((a, b) => Math.max(a, b), -1);
  const cells: number[][] = Array.from({ length: RINGS * SECTORS }, () => []);
  for (let i = 0; i < count; i++) {
    const ring = Math.min(
      RINGS - 1,
      Math.floor((RINGS * (heights[i]! - low)) / (high - low + 1e-9)),
    );
    const turn = Math.atan2(local[3 * i + 1]!, local[3 * i]!) / (2 * Math.PI) + 0.5;
    cells[ring * SECTORS + Math.min(SECTORS - 1, Math.floor(turn * SECTORS))]!.push(i);
  }
  const luma = (i: number) =>
    0.2126 * rgb[3 * i]! + 0.7152 * rgb[3 * i + 1]! + 0.0722 * rgb[3 * i + 2]!;
  const rings: number[][][] = Array.from({ length: RINGS }, () => []);
  for (const [n, cell] of cells.entries()) {
    if (cell.length < LEAST) continue;
    cell.sort((i, j) => luma(i) - luma(j));
    const chosen = cell.slice(Math.floor(FROM * cell.length), Math.ceil(TO * cell.length));
    const mean = (f: (i: number) => number) => chosen.reduce((s, i) => s + f(i), 0) / chosen.length;
    const place = [0, 1, 2].map((k) => mean((i) => local[3 * i + k]!));
    const length = Math.hypot(...place);
    rings[Math.floor(n / SECTORS)]!.push([
      ...place.map((v) => v / length),
      ...[0, 1, 2].map((c) => mean((i) => rgb[3 * i + c]!)),
      mean((i) => samples.weight[i]!),
    ]);
  }
  const all = rings.flat();
  if (all.length === 0) return undefined;
  const blueAll =
    Array.from({ length: count }, (_, i) => rgb[3 * i + 2]! - rgb[3 * i]!).reduce(
      (a, b) => a + b,
      0,
    ) / count;
  const blue = all.reduce((s, p) => s + blueness(p), 0) / all.length;
  if (blue < blueAll + BLUER) return undefined;
  const points = rings.flatMap(openOnly);
  if (points.length === 0) return undefined;
  return {
    count: points.length,
    local: Float64Array.from(points.flatMap((p) => p.slice(0, 3))),
    rgb: Float64Array.from(points.flatMap((p) => p.slice(3, 6))),
    weight: Float64Array.from(points, (p) => p[6]!),
    light: samples.light,
  };
}
