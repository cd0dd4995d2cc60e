import type { Samples } from '../master/pixels.js';
import type { Size } from './atlas.js';

/**
 * Takes the rows of a picture one by one and gives a row of the smaller one whenever one is complete:
 * area averages of linear light. The row given is used anew afterwards.
 */
export interface Reducer {
  /** The next row, as linear light. */
  add(row: Int32Array): Int32Array | undefined;
  /** The next row, as codes, as all others must be then; quicker where the light is needed for nothing else. */
  addCodes?(row: Samples, lightOfCode: Int32Array): Int32Array | undefined;
}

/** Rows of a picture: its size, how many texels of a row there are, and the first row. */
export interface RowsOf {
  readonly whole: Size;
  readonly width: number;
  readonly first: number;
}

/**
 * @param from the rows that come; all their texels, or, with exact halves, those that make up `to`'s
 * @param to at most as large; exact halves take a faster way to the same numbers
 */
export function createReducer(from: RowsOf, to: RowsOf): Reducer {
  const halves =
    from.whole.width === 2 * to.whole.width && from.whole.height === 2 * to.whole.height;
  return halves ? halve(to.width) : average(from.whole, to.whole, from.first, to.first);
}

/** Both rows of a pair in one pass, which takes two thirds of the time of summing each by itself. */
function halve(width: number): Reducer {
  const out = new Int32Array(width * 3);
  const light = new Int32Array(width * 6);
  let codes: Samples | undefined;
  let isLower = true;
  return {
    add(row) {
      isLower = !isLower;
      if (!isLower) light.set(row);
      else averageLight(light, row, out);
      return isLower ? out : undefined;
    },
    addCodes(row, lightOfCode) {
      isLower = !isLower;
      codes ??= row.slice();
      if (!isLower) codes.set(row);
      else averageCodes(codes, row, lightOfCode, out);
      return isLower ? out : undefined;
    },
  };
}

function averageLight(upper: Int32Array, lower: Int32Array, out: Int32Array): void {
  for (let i = 0, at = 0; i < out.length; i += 3, at += 6) {
    out[i] = (upper[at]! + upper[at + 3]! + lower[at]! + lower[at + 3]! + 2) >> 2;
    out[i + 1] = (upper[at + 1]! + upper[at + 4]! + lower[at + 1]! + lower[at + 4]! + 2) >> 2;
    out[i + 2] = (upper[at + 2]! + upper[at + 5]! + lower[at + 2]! + lower[at + 5]! + 2) >> 2;
  }
}

function averageCodes(upper: Samples, lower: Samples, light: Int32Array, out: Int32Array): void {
  for (let i = 0, at = 0; i < out.length; i += 3, at += 6) {
    const r = light[upper[at]!]! + light[upper[at + 3]!]!;
    const g = light[upper[at + 1]!]! + light[upper[at + 4]!]!;
    const b = light[upper[at + 2]!]! + light[upper[at + 5]!]!;
    out[i] = (r + light[lower[at]!]! + light[lower[at + 3]!]! + 2) >> 2;
    out[i + 1] = (g + light[lower[at + 1]!]! + light[lower[at + 4]!]! + 2) >> 2;
    out[i + 2] = (b + light[lower[at + 2]!]! + light[lower[at + 5]!]! + 2) >> 2;
  }
}

function average(from: Size, to: Size, firstOf: number, first: number): Reducer {
  const samples = to.width * 3;
  const across = spans(from.width, to.width);
  const sums = new Float64Array(samples);
  const out = new Int32Array(samples);
  const ratio = from.height / to.height;
  let come = firstOf;
  let given = first;
  // Of the very first row, a part may belong to the row above.
  let most = firstOf + 1 - first * ratio;
  const add: Reducer['add'] = (row) => {
    const end = (given + 1) * ratio;
    const isLast = given === to.height - 1;
    const here = Math.min(1, most, end - come) / ratio;
    most = 1;
    come++;
    if (isLast ? come < from.height : come < end - 1e-9) {
      squeeze(row, across, here, sums);
      return undefined;
    }
    const carried = Math.max(0, come - end) / ratio;
    squeeze(row, across, here, sums, carried, out);
    given++;
    return out;
  };
  return { add };
}

/** For each part of a line, the cells it covers: the first and `taps` shares, which add up to 1. */
interface Spans {
  readonly taps: number;
  readonly first: Int32Array;
  readonly shares: Float64Array;
}

function spans(length: number, count: number): Spans {
  const ratio = length / count;
  const taps = Math.min(length, Math.ceil(ratio) + 1);
  const first = new Int32Array(count);
  const shares = new Float64Array(count * taps);
  for (let index = 0; index < count; index++) {
    const start = index * ratio;
    const end = Math.min(length, start + ratio);
    // Never so late that its last share would lie beyond the line.
    first[index] = Math.min(Math.floor(start), length - taps);
    for (let tap = 0; tap < taps; tap++) {
      const cell = first[index]! + tap;
      const covered = Math.min(cell + 1, end) - Math.max(cell, start);
      shares[index * taps + tap] = Math.max(0, covered) / ratio;
    }
  }
  return { taps, first, shares };
}

/**
 * Adds `here` times each part's mean to `sums`; with `out`, that gets the sums, rounded, and `sums` begins anew with
 * `carried` times the means.
 */
function squeeze(
  row: Int32Array,
  { taps, first, shares }: Spans,
  here: number,
  sums: Float64Array,
  carried = 0,
  out?: Int32Array,
): void {
  for (let x = 0, share = 0, to = 0; x < first.length; x++, to += 3) {
    let at = first[x]! * 3;
    let r = 0;
    let g = 0;
    let b = 0;
    for (let tap = 0; tap < taps; tap++, at += 3) {
      const weight = shares[share++]!;
      r += weight * row[at]!;
      g += weight * row[at + 1]!;
      b += weight * row[at + 2]!;
    }
    const sumR = sums[to]! + here * r;
    const sumG = sums[to + 1]! + here * g;
    const sumB = sums[to + 2]! + here * b;
    if (out !== undefined) {
      out[to] = sumR + 0.5;
      out[to + 1] = sumG + 0.5;
      out[to + 2] = sumB + 0.5;
    }
    sums[to] = out === undefined ? sumR : carried * r;
    sums[to + 1] = out === undefined ? sumG : carried * g;
    sums[to + 2] = out === undefined ? sumB : carried * b;
  }
}
