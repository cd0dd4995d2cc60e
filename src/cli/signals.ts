import { clearAway } from '../encode/temporary.js';
import { Interrupted } from '../errors.js';
import { EXIT_INTERRUPTED } from './ending.js';
import { printProblems } from './terminal.js';

const STOP_SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const;

/** How long the work may take to put things away, in ms, before this process ends all the same. */
const GRACE = 2000;

/**
 * Ctrl-C and the like ask the work to stop; a second one ends the process at once. What is unfinished
 * is removed either way: encode/temporary.ts sees to it when the process exits.
 */
export function listenForStop(): AbortSignal {
  const controller = new AbortController();
  for (const signal of STOP_SIGNALS) {
    const endNow = () => {
      // Already said where the work has stopped, and only libvips has not.
      if (process.exitCode !== EXIT_INTERRUPTED) printProblems([new Interrupted().message]);
      endBy(signal);
    };
    process.on(signal, () => {
      if (controller.signal.aborted) endNow();
      setTimeout(endNow, GRACE).unref();
      controller.abort();
    });
  }
  return controller.signal;
}

/**
 * process.exit alone would wait for libvips, which may be at work for a minute and cannot be stopped. So the
 * signal itself ends the process; a shell tells that by the same code.
 */
function endBy(signal: NodeJS.Signals): void {
  process.prependOnceListener('exit', () => {
    clearAway();
    process.removeAllListeners(signal);
    process.kill(process.pid, signal);
  });
  process.exit(EXIT_INTERRUPTED);
}

/** A reader that goes away (`orbreel projections | head -1`) is no failure of ours. */
export function quietWhenClosed(stream: NodeJS.WriteStream): void {
  stream.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code !== 'EPIPE') throw error;
  });
}
