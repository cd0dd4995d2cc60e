import { clamp } from '../../math.js';
import { readSamples } from './grid.js';
import type { Photo } from './photo.js';

/**
 * How columns differ across longitude ±180° and beside it, in 8-bit code values of JPEG's luma:
 * decoders smooth coarser-stored colour between all columns but those at the picture's ends.
 */
export interface Seam {
  /** Mean difference of neighbouring pixels: across the seam, usual beside it, and most beside it. */
  readonly difference: number;
  readonly usual: number;
  readonly most: number;
  /** The same of means over bands of rows, in which noise cancels and a step in exposure stays. */
  readonly step: number;
  readonly usualStep: number;
  readonly mostStep: number;
  /** Whether the seam differs more than its neighbourhood explains. */
  readonly visible: boolean;
}

/** The first or last row, which is nearly one point of the sphere. In 8-bit code values. */
export interface PoleRow {
  /** Standard deviation along the row, of means over 64 sectors. */
  readonly variation: number;
  /** Largest difference between two sectors. */
  readonly range: number;
  /**
   * Root mean square difference between opposite sectors, which lie one pixel apart across the
   * pole, and between the row and the next, which do so too.
   */
  readonly across: number;
  readonly down: number;
  /** Whether opposite sectors differ no more than neighbours do. */
  readonly isPoint: boolean;
}

/** Past two JPEG blocks: block edges are rougher than other columns. */
const COLUMNS = 17;
const BANDS = 64;
/** So many pixels that their noise averages to an eighth. */
const ROWS_A_BAND = 64;
/** Our choice: what is seldom exceeded by chance and starts to be seen. */
const SEAM_RATIO = 1.3;
const SEAM_CODES = 1;
const POLE_RATIO = 2.5;
const POLE_CODES = 4;

/** Measures the seam at full size. */
export async function measureSeam(photo: Photo): Promise<Seam | undefined> {
  const columns = Math.min(COLUMNS, Math.floor(photo.width / 2));
  if (columns < 3) return undefined;
  const part = { top: 0, width: columns, height: photo.height };
  const [left, right] = await Promise.all([
    readSamples(photo, { ...part, left: 0 }),
    readSamples(photo, { ...part, left: photo.width - columns }),
  ]);
  return compareColumns(right, left, columns, photo.height);
}

/** `before` and `after` are RGBA strips of `columns` pixels that meet at the seam. */
export function compareColumns(
  before: Uint8Array,
  after: Uint8Array,
  columns: number,
  rows: number,
): Seam {
  const luma = (column: number, row: number): number => {
    const strip = column < columns ? before : after;
    const i = 4 * (row * columns + (column % columns));
    return 0.299 * strip[i]! + 0.587 * strip[i + 1]! + 0.114 * strip[i + 2]!;
  };
  const pairs = Array.from({ length: 2 * columns - 1 }, (_, k) =>
    pairDifference((row) => luma(k + 1, row) - luma(k, row), rows),
  );
  const seam = pairs[columns - 1] as PairDifference;
  const beside = pairs.filter((pair) => pair !== seam);
  const fine = spread(beside.map((pair) => pair.fine));
  const broad = spread(beside.map((pair) => pair.broad));
  const exceeds = (value: number, most: number) =>
    value > SEAM_RATIO * most && value - most > SEAM_CODES;
  return {
    difference: seam.fine,
    usual: fine.middle,
    most: fine.most,
    step: seam.broad,
    usualStep: broad.middle,
    mostStep: broad.most,
    visible: exceeds(seam.fine, fine.most) || exceeds(seam.broad, broad.most),
  };
}

interface PairDifference {
  readonly fine: number;
  readonly broad: number;
}

/** Mean over rows, each weighed by the length of its circle of latitude. */
function pairDifference(difference: (row: number) => number, rows: number): PairDifference {
  let fine = 0;
  let broad = 0;
  let weights = 0;
  const bands = clamp(Math.floor(rows / ROWS_A_BAND), 1, BANDS);
  for (let band = 0; band < bands; band += 1) {
    const from = Math.floor((band * rows) / bands);
    const to = Math.floor(((band + 1) * rows) / bands);
    let sum = 0;
    for (let row = from; row < to; row += 1) {
      const weight = Math.sin((Math.PI * (row + 0.5)) / rows);
      const d = difference(row);
      sum += weight * d;
      fine += weight * Math.abs(d);
      weights += weight;
    }
    broad += Math.abs(sum);
  }
  return { fine: fine / weights, broad: broad / weights };
}

function spread(values: readonly number[]): { middle: number; most: number } {
  const sorted = [...values].sort((a, b) => a - b);
  return { middle: sorted[sorted.length >> 1] ?? 0, most: sorted.at(-1) ?? 0 };
}

/** Measures the first or last row at full size. */
export async function measurePoleRow(photo: Photo, pole: 'first' | 'last'): Promise<PoleRow> {
  const size = { width: photo.width, height: Math.min(2, photo.height) };
  const top = pole === 'first' ? 0 : photo.height - size.height;
  const rows = await readSamples(photo, { left: 0, top, ...size });
  const [upper, lower] = [rows.subarray(0, 4 * photo.width), rows.subarray(-4 * photo.width)];
  return pole === 'first'
    ? describeRow(upper, lower, photo.width)
    : describeRow(lower, upper, photo.width);
}

/** `row` at the pole and the `next` to it: RGBA of `width` pixels. */
export function describeRow(row: Uint8Array, next: Uint8Array, width: number): PoleRow {
  const here = sectorMeans(row, width);
  const beside = sectorMeans(next, width);
  const sectors = here.length / 3;
  const channel = (c: number) => here.filter((_, i) => i % 3 === c);
  const means = [0, 1, 2].map((c) => channel(c).reduce((a, b) => a + b, 0) / sectors);
  const opposite = (i: number) => here[(i + 3 * (sectors >> 1)) % here.length]!;
  const across = rms(here.map((value, i) => value - opposite(i)));
  const down = rms(here.map((value, i) => value - beside[i]!));
  return {
    variation: rms(here.map((value, i) => value - means[i % 3]!)),
    range: Math.max(...[0, 1, 2].map((c) => Math.max(...channel(c)) - Math.min(...channel(c)))),
    across,
    down,
    isPoint: across <= POLE_RATIO * down + POLE_CODES,
  };
}

const rms = (values: readonly number[]): number =>
  Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);

/** Means of red, green and blue over each of 64 sectors, in turn. */
function sectorMeans(row: Uint8Array, width: number): number[] {
  const sectors = Math.min(BANDS, width);
  return Array.from({ length: 3 * sectors }, (_, i) => {
    const sector = Math.floor(i / 3);
    const from = Math.floor((sector * width) / sectors);
    const to = Math.floor(((sector + 1) * width) / sectors);
    let sum = 0;
    for (let x = from; x < to; x += 1) sum += row[4 * x + (i % 3)]!;
    return sum / (to - from);
  });
}
