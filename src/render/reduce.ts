import type { Samples } from '../master/pixels.js';
import type { Size } from './atlas.js';

/**
 * Takes the rows of a picture one by one and gives a row of the smaller one whenever one is complete:
 * area averages of linear light. The row given is used anew afterwards.
 */
export interface Reducer {
  /** The next row, as linear light. */
  add(row: Int32Array): Int32Array | undefined;
  /** The next row, as codes; quicker where the light is needed for nothing else. */
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

function halve(width: number): Reducer {
  const samples = width * 3;
  const pairs = new Int32Array(samples);
  const upper = new Int32Array(samples);
  const out = new Int32Array(samples);
  let isUpper = false;
  const next = () => {
    isUpper = !isUpper;
    return isUpper ? upper : pairs;
  };
  const finish = () => {
    if (isUpper) return undefined;
    for (let i = 0; i < samples; i++) out[i] = (upper[i]! + pairs[i]! + 2) >> 2;
    return out;
  };
  return {
    add(row) {
      addPairs(row, next());
      return finish();
    },
    addCodes(row, lightOfCode) {
      addPairsOfCodes(row, lightOfCode, next());
      return finish();
    },
  };
}

function addPairs(row: Int32Array, sums: Int32Array): void {
  for (let i = 0, at = 0; i < sums.length; i += 3, at += 6) {
    sums[i] = row[at]! + row[at + 3]!;
    sums[i + 1] = row[at + 1]! + row[at + 4]!;
    sums[i + 2] = row[at + 2]! + row[at + 5]!;
  }
}

function addPairsOfCodes(row: Samples, lightOfCode: Int32Array, sums: Int32Array): void {
  for (let i = 0, at = 0; i < sums.length; i += 3, at += 6) {
    sums[i] = lightOfCode[row[at]!]! + lightOfCode[row[at + 3]!]!;
    sums[i + 1] = lightOfCode[row[at + 1]!]! + lightOfCode[row[at + 4]!]!;
    sums[i + 2] = lightOfCode[row[at + 2]!]! + lightOfCode[row[at + 5]!]!;
  }
}

function average(from: Size, to: Size, firstOf: number, first: number): Reducer {
  const samples = to.width * 3;
  const across = spans(from.width, to.width);
  const squeezed = new Float64Array(samples);
  const sums = new Float64Array(samples);
  const out = new Int32Array(samples);
  const ratio = from.height / to.height;
  let come = firstOf;
  let given = first;
  // Of the very first row, a part may belong to the row above.
  let most = firstOf + 1 - first * ratio;
  const add: Reducer['add'] = (row) => {
    squeeze(row, across, squeezed);
    const end = (given + 1) * ratio;
    const isLast = given === to.height - 1;
    const here = Math.min(1, most, end - come) / ratio;
    most = 1;
    for (let i = 0; i < samples; i++) sums[i]! += here * squeezed[i]!;
    come++;
    if (isLast ? come < from.height : come < end - 1e-9) return undefined;
    const carried = Math.max(0, come - end) / ratio;
    for (let i = 0; i < samples; i++) {
      out[i] = sums[i]! + 0.5;
      sums[i] = carried * squeezed[i]!;
    }
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

function squeeze(row: Int32Array, { taps, first, shares }: Spans, out: Float64Array): void {
  for (let x = 0, share = 0; x < first.length; x++) {
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
    out[x * 3] = r;
    out[x * 3 + 1] = g;
    out[x * 3 + 2] = b;
  }
}
