import { Interrupted } from '../errors.js';
import { EXIT_INTERRUPTED } from './ending.js';
import { printProblems } from './terminal.js';

const STOP_SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const;

/** How long the work may take to put things away, in ms, before this process ends all the same. */
const GRACE = 3000;

/**
 * Ctrl-C and the like ask the work to stop; a second one ends the process at once. What is unfinished
 * is removed either way: encode/temporary.ts sees to it when the process exits.
 */
export function listenForStop(): AbortSignal {
  const controller = new AbortController();
  const endNow = () => {
    printProblems([new Interrupted().message]);
    process.exit(EXIT_INTERRUPTED);
  };
  for (const signal of STOP_SIGNALS) {
    process.on(signal, () => {
      if (controller.signal.aborted) endNow();
      setTimeout(endNow, GRACE).unref();
      controller.abort();
    });
  }
  return controller.signal;
}

/** A reader that goes away (`orbreel projections | head -1`) is no failure of ours. */
export function quietWhenClosed(stream: NodeJS.WriteStream): void {
  stream.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code !== 'EPIPE') throw error;
  });
}
