import { type Light, lightOf } from '../master/codes.js';
import { type Depth, newSamples, type Samples } from '../master/pixels.js';
import type { Size } from './atlas.js';
import { createCalmer, polarReach } from './calm.js';
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
 * @param source size of the rows that will come
 * @param sizes of the levels to make, finest first, each at most as large as the one before; the first
 *   may be smaller than the source
 */
export function createPyramid(
  depth: Depth,
  source: Size,
  sizes: readonly Size[],
  sink: RowSink,
): Pyramid {
  const light = lightOf(depth);
  const chain = [source, ...sizes];
  let top: Stage | undefined;
  for (let level = sizes.length - 1; level >= 0; level--) {
    const stage = levelStage(light, sizes[level]!, level, sink, top);
    const isSame = sameSize(chain[level]!, sizes[level]!);
    top = isSame ? stage : reduceStage(light, chain[level]!, sizes[level]!, stage);
  }
  const samples = source.width * 3;
  return {
    add(rows) {
      for (let at = 0; at < rows.length; at += samples) {
        top?.addCodes(rows.subarray(at, at + samples));
      }
    },
  };
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
  size: Size,
  level: number,
  sink: RowSink,
  below: Stage | undefined,
): Stage {
  const samples = size.width * 3;
  const codes = newSamples(light.depth, samples);
  const linear = new Int32Array(samples);
  const calm = new Int32Array(samples);
  const calmRow = createCalmer(size.width);
  let row = 0;
  const giveCalm = (own: Int32Array, reach: number) => {
    calmRow(own, reach, calm);
    light.encode(calm, codes);
    sink(level, row, codes);
  };
  return {
    add(own) {
      const reach = polarReach(row, size);
      if (reach > 1) {
        giveCalm(own, reach);
      } else {
        light.encode(own, codes);
        sink(level, row, codes);
      }
      row++;
      below?.add(own);
    },
    addCodes(own) {
      const reach = polarReach(row, size);
      if (reach > 1) {
        decode(own, light.ofCode, linear);
        giveCalm(linear, reach);
        below?.add(linear);
      } else {
        sink(level, row, own);
        below?.addCodes(own);
      }
      row++;
    },
  };
}

function reduceStage(light: Light, from: Size, to: Size, below: Stage): Stage {
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
