import type { Depth, Samples } from '../pixels.js';
import type { MasterRows } from './types.js';

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
