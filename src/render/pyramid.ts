import type { Pixels } from '../master/pixels.js';
import { clamp } from '../math.js';
import { CODE_OF_LINEAR, LINEAR_OF_CODE } from './colour.js';

/**
 * Shrinks a picture to at least half its size by area averages in linear light. Any ratio works; a ratio
 * of exactly two takes a faster way to the same numbers.
 */
export function shrink(source: Pixels, width: number, height: number): Pixels {
  if (source.width === 2 * width && source.height === 2 * height) return halve(source);
  const data = new Uint8Array(width * height * 3);
  const columns = spans(source.width, width);
  const rows = spans(source.height, height);
  const sums = new Float64Array(width * 3);
  for (let y = 0; y < height; y++) {
    sums.fill(0);
    const { first, weights } = rows[y]!;
    for (let j = 0; j < weights.length; j++) {
      addRow(sums, source, first + j, columns, weights[j]!);
    }
    for (let i = 0; i < sums.length; i++) {
      data[y * width * 3 + i] = CODE_OF_LINEAR[Math.round(sums[i]!)]!;
    }
  }
  return { width, height, data };
}

function halve({ width, height, data }: Pixels): Pixels {
  const half = new Uint8Array((width >> 1) * (height >> 1) * 3);
  const stride = width * 3;
  let out = 0;
  for (let y = 0; y < height; y += 2) {
    let above = y * stride;
    let below = above + stride;
    for (let x = 0; x < width; x += 2) {
      for (let channel = 0; channel < 3; channel++, above++, below++) {
        const sum =
          LINEAR_OF_CODE[data[above]!]! +
          LINEAR_OF_CODE[data[above + 3]!]! +
          LINEAR_OF_CODE[data[below]!]! +
          LINEAR_OF_CODE[data[below + 3]!]!;
        half[out++] = CODE_OF_LINEAR[(sum + 2) >> 2]!;
      }
      above += 3;
      below += 3;
    }
  }
  return { width: width >> 1, height: height >> 1, data: half };
}

interface Span {
  readonly first: number;
  /** Shares of the source cells from `first` on; they add up to 1. */
  readonly weights: readonly number[];
}

/** For each of `count` equal parts of a line, the cells of `length` it covers and by how much. */
function spans(length: number, count: number): Span[] {
  const ratio = length / count;
  return Array.from({ length: count }, (_, index) => {
    const start = index * ratio;
    const end = Math.min(length, start + ratio);
    const first = Math.floor(start);
    const weights: number[] = [];
    for (let cell = first; cell < end; cell++) {
      weights.push((Math.min(cell + 1, end) - Math.max(cell, start)) / ratio);
    }
    return { first, weights };
  });
}

function addRow(
  sums: Float64Array,
  source: Pixels,
  row: number,
  columns: readonly Span[],
  weight: number,
): void {
  const { data, width } = source;
  for (let x = 0; x < columns.length; x++) {
    const { first, weights } = columns[x]!;
    let at = (row * width + first) * 3;
    for (const share of weights) {
      const factor = share * weight;
      sums[x * 3]! += factor * LINEAR_OF_CODE[data[at]!]!;
      sums[x * 3 + 1]! += factor * LINEAR_OF_CODE[data[at + 1]!]!;
      sums[x * 3 + 2]! += factor * LINEAR_OF_CODE[data[at + 2]!]!;
      at += 3;
    }
  }
}

/**
 * Averages each row near the poles along itself, in place and in linear light. Towards a pole an
 * equirectangular picture holds ever more texels for the same angle; sampled at the density that the
 * latitude direction needs they would shimmer, and a level coarse enough for them would smear. After
 * this, one level of detail is right in both directions. Rows within 60 degrees of the equator stay as
 * they are, since a bilinear lookup spans two texels anyway.
 */
export function calmPoles({ width, height, data }: Pixels): void {
  const prefix = new Float64Array(width + 1);
  for (let y = 0; y < height; y++) {
    const cosine = Math.sin((Math.PI * (y + 0.5)) / height);
    const reach = Math.min(width, 0.5 / cosine);
    if (reach > 1) averageRow(data.subarray(y * width * 3, (y + 1) * width * 3), reach, prefix);
  }
}

/** Box filter of `reach` texels around each texel of a row that closes on itself. */
function averageRow(row: Uint8Array, reach: number, prefix: Float64Array): void {
  const width = prefix.length - 1;
  for (let channel = 0; channel < 3; channel++) {
    for (let x = 0; x < width; x++) {
      prefix[x + 1] = prefix[x]! + LINEAR_OF_CODE[row[x * 3 + channel]!]!;
    }
    const total = prefix[width]!;
    const sumTo = (position: number): number => {
      const turns = Math.floor(position / width);
      const inside = position - turns * width;
      const cell = Math.min(width - 1, Math.floor(inside));
      const before = prefix[cell]!;
      return turns * total + before + (prefix[cell + 1]! - before) * (inside - cell);
    };
    for (let x = 0; x < width; x++) {
      const middle = x + 0.5;
      const mean = (sumTo(middle + reach / 2) - sumTo(middle - reach / 2)) / reach;
      row[x * 3 + channel] = CODE_OF_LINEAR[clamp(Math.round(mean), 0, 65535)]!;
    }
  }
}
