import { type Light, lightOf } from '../master/codes.js';
import { type Depth, newSamples, type Samples } from '../master/pixels.js';
import type { Size } from './atlas.js';
import { createCalmer, polarReach } from './calm.js';
import type { Portion } from './portion.js';
import { createReducer } from './reduce.js';

/** Takes one finished row of a level; `codes` is used anew afterwards. */
export type RowSink = (level: number, row: number, codes: Samples) => void;

/**
 * Turns a master's rows, given from the top in any portions, into the rows of all its levels, each as
 * soon as its sources have come; so it holds only a few rows. Averages are taken in linear light and
 * handed down unrounded by any code.
 */
export interface Pyramid {
  /** Whole rows of the master, the next ones. */
  add(rows: Samples): void;
}

/**
 * @param source size of the whole master
 * @param sizes of the levels to make, finest first, each at most as large as the one before; the first
 *   may be smaller than the source
 * @param portion make only this, of rows that hold its `source`: `sizes[0]` is the master's size then
 */
export function createPyramid(
  depth: Depth,
  source: Size,
  sizes: readonly Size[],
  sink: RowSink,
  portion?: Portion,
): Pyramid {
  const light = lightOf(depth);
  const spans = sizes.map((size, level) => spanOf(size, level, portion));
  const chain = [portion === undefined ? allOf(source) : spans[0]!, ...spans];
  let top: Stage | undefined;
  for (let level = sizes.length - 1; level >= 0; level--) {
    const [from, to] = [chain[level]!, spans[level]!];
    const stage = levelStage(light, to, level, sink, top);
    top = sameSize(from.whole, to.whole) ? stage : reduceStage(light, from, to, stage);
  }
  const samples = chain[0]!.width * 3;
  return {
    add(rows) {
      for (let at = 0; at < rows.length; at += samples) {
        top?.addCodes(rows.subarray(at, at + samples));
      }
    },
  };
}

/** The rows of one size that come, the first of them, and which of them the sink takes. */
export interface Span {
  readonly whole: Size;
  /** Texels in each row. */
  readonly width: number;
  readonly first: number;
  readonly taken: Portion['levels'][number]['rows'];
}

const allOf = (size: Size): Span => ({
  ...{ whole: size, width: size.width, first: 0 },
  taken: { first: 0, end: size.height },
});

function spanOf(whole: Size, level: number, portion: Portion | undefined): Span {
  if (portion === undefined) return allOf(whole);
  const { box, rows } = portion.levels[level]!;
  const { width, y } = level === 0 ? portion.source : box;
  return { whole, width, first: y, taken: rows };
}

const sameSize = (a: Size, b: Size): boolean => a.width === b.width && a.height === b.height;

/** Takes the rows of one size, as linear light or as codes. */
interface Stage {
  add(row: Int32Array): void;
  addCodes(row: Samples): void;
}

/** Hands a level's rows to the sink, calm ones near the poles, and as they are to the next level. */
function levelStage(
  light: Light,
  { whole, width, first, taken }: Span,
  level: number,
  sink: RowSink,
  below: Stage | undefined,
): Stage {
  const samples = width * 3;
  const codes = newSamples(light.depth, samples);
  const linear = new Int32Array(samples);
  const calm = new Int32Array(samples);
  const calmRow = createCalmer(width);
  let row = first;
  const isTaken = () => row >= taken.first && row < taken.end;
  const giveCalm = (own: Int32Array, reach: number) => {
    calmRow(own, reach, calm);
    light.encode(calm, codes);
    sink(level, row, codes);
  };
  return {
    add(own) {
      if (isTaken()) {
        const reach = Math.min(width, polarReach(row, whole));
        if (reach > 1) {
          giveCalm(own, reach);
        } else {
          light.encode(own, codes);
          sink(level, row, codes);
        }
      }
      row++;
      below?.add(own);
    },
    addCodes(own) {
      const reach = isTaken() ? Math.min(width, polarReach(row, whole)) : 0;
      if (reach > 1) {
        decode(own, light.ofCode, linear);
        giveCalm(linear, reach);
      } else if (reach > 0) {
        sink(level, row, own);
      }
      below?.addCodes(own);
      row++;
    },
  };
}

function reduceStage(light: Light, from: Span, to: Span, below: Stage): Stage {
  const reducer = createReducer(from, to);
  const linear = new Int32Array(from.width * 3);
  const pass = (row: Int32Array | undefined) => {
    if (row !== undefined) below.add(row);
  };
  return {
    add: (row) => pass(reducer.add(row)),
    addCodes(row) {
      if (reducer.addCodes !== undefined) {
        pass(reducer.addCodes(row, light.ofCode));
      } else {
        decode(row, light.ofCode, linear);
        pass(reducer.add(linear));
      }
    },
  };
}

function decode(codes: Samples, lightOfCode: Int32Array, into: Int32Array): void {
  for (let i = 0; i < codes.length; i++) into[i] = lightOfCode[codes[i]!]!;
}
