import { expectGoing } from '../errors.js';

/** Gives the event loop a turn, and throws Interrupted where the user has asked to stop. */
export type Breathe = () => Promise<void>;

export function breather(signal: AbortSignal | undefined): Breathe {
  return async () => {
    await new Promise((done) => setImmediate(done));
    expectGoing(signal);
  };
}
