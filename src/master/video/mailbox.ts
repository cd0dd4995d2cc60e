/** Hands things from one who makes them to one who takes them, in order, a few of them waiting at most. */
export interface Mailbox<T> {
  /** Resolves when there is room for another. */
  put(thing: T): Promise<void>;
  /** The next; undefined after the last. Throws what `fail` was given, after all that came before it. */
  take(): Promise<T | undefined>;
  end(): void;
  fail(error: unknown): void;
  /** Nobody will take any more. */
  abandon(): void;
}

export function createMailbox<T>(room: number): Mailbox<T> {
  const things: T[] = [];
  let over = false;
  let failure: { readonly error: unknown } | undefined;
  let abandoned = false;
  let wake: (() => void) | undefined;
  const changed = () => {
    wake?.();
    wake = undefined;
  };
  // Only one of the two ever waits: the maker where there is no room, the taker where there is nothing.
  const change = () =>
    new Promise<void>((done) => {
      wake = done;
    });
  return {
    async put(thing) {
      things.push(thing);
      changed();
      while (things.length >= room && !abandoned) await change();
    },
    async take() {
      while (things.length === 0 && !over) await change();
      const thing = things.shift();
      changed();
      if (thing === undefined && failure !== undefined) throw failure.error;
      return thing;
    },
    end() {
      over = true;
      changed();
    },
    fail(error) {
      failure = { error };
      over = true;
      changed();
    },
    abandon() {
      abandoned = true;
      over = true;
      things.length = 0;
      changed();
    },
  };
}
