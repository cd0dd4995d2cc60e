import { type Depth, newSamples, type Samples } from '../pixels.js';
import type { MasterRows, Part } from './types.js';

/** Rows that are decoded all at once, beginning now. */
export function wholeRows(
  width: number,
  height: number,
  depth: Depth,
  decoding: Promise<Samples>,
): MasterRows {
  return { width, height, depth, strips: oneAhead([() => decoding]) };
}

/** Yields what the works give, one after the other; the first begins now, each next one a step ahead. */
export function oneAhead<T>(works: readonly (() => Promise<T>)[]): AsyncIterable<T> {
  const begin = (index: number) => {
    const work = works[index]?.();
    // An error shows when it is awaited; until then nobody listens.
    work?.catch(() => {});
    return work;
  };
  // Nothing here may hold on to a result that was given: strips are large.
  let next = begin(0);
  return {
    async *[Symbol.asyncIterator]() {
      for (let index = 1; next !== undefined; index++) {
        await next;
        const ready = next;
        next = begin(index);
        yield ready;
      }
    },
  };
}

/** Has `works` begin now, rather than when its first result is asked for. To be taken once. */
export function begun<T>(works: AsyncGenerator<T>): AsyncIterable<T> {
  const first = works.next();
  // An error shows when it is awaited; until then nobody listens.
  first.catch(() => {});
  return {
    async *[Symbol.asyncIterator]() {
      const { done, value } = await first;
      if (done) return;
      try {
        yield value;
        yield* works;
      } finally {
        await works.return(undefined);
      }
    },
  };
}

/** Passes on what `change` makes of each. */
export async function* mapped<T>(all: AsyncIterable<T>, change: (one: T) => T): AsyncIterable<T> {
  for await (const one of all) yield change(one);
}

/** A part's columns of whole rows, `wide` texels each, which close on themselves. */
export function cutColumns(rows: Samples, wide: number, { x, width }: Part): Samples {
  const count = rows.length / wide / 3;
  const cut = newSamples(rows instanceof Uint16Array ? 16 : 8, count * width * 3);
  const first = Math.min(width, wide - x);
  for (let row = 0; row < count; row++) {
    const [from, to] = [row * wide * 3, row * width * 3];
    cut.set(rows.subarray(from + x * 3, from + (x + first) * 3), to);
    cut.set(rows.subarray(from, from + (width - first) * 3), to + first * 3);
  }
  return cut;
}
