import { InputError, Interrupted } from '../errors.js';
import { shown } from './names.js';
import { Progress } from './progress.js';
import { asJson, print } from './terminal.js';

export type OnProgress = (step: string, share: number) => void;

/** Shows how far the making of `file` is. */
export async function withProgress<T>(
  file: string,
  quiet: boolean,
  work: (onProgress: OnProgress) => Promise<T>,
): Promise<T> {
  const progress = new Progress(process.stderr, { unit: '%' });
  try {
    return await work((step, share) => {
      if (quiet) return;
      const label = step === 'done' ? shown(file) : `${shown(file)} (${step})`;
      const done = Math.round(100 * share);
      if (done === 0) progress.say(label);
      else progress.update({ label, done, total: 100 });
    });
  } finally {
    progress.end();
  }
}

/**
 * Runs a command's work. With `json`, what is wrong with the input is printed as JSON too. A stop that
 * was asked for is told as such, whatever it broke: Ctrl-C also reaches the programs that help us.
 */
export async function attempt(
  work: () => Promise<void>,
  { json = false, signal }: { readonly json?: boolean; readonly signal: AbortSignal },
): Promise<void> {
  // A helper that Ctrl-C has ended may leave us waiting for nothing, and Node.js ends such waits oddly;
  // with this the stop ends it as it ends all that takes too long.
  const awake = setInterval(() => {}, 60_000);
  try {
    await work();
  } catch (error) {
    if (signal.aborted) throw new Interrupted();
    if (json && error instanceof InputError) print(asJson({ problems: error.problems }));
    throw error;
  } finally {
    clearInterval(awake);
  }
}
