import { expectGoing, InputError } from '../errors.js';
import { Told } from './ending.js';
import { shown } from './names.js';
import { Progress } from './progress.js';
import { asJson, note, print } from './terminal.js';

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

interface Job {
  readonly input: string;
  readonly signal: AbortSignal;
  readonly onProgress: OnProgress;
}

export interface MakingWords {
  readonly out?: string;
  readonly overwrite?: boolean;
  readonly json?: boolean;
  readonly quiet?: boolean;
}

/**
 * The action of a command that makes `words.out` of a master, or changes the master itself: `load` reads the options
 * and loads what does it; then it runs with its progress, and the report goes out as JSON, or in words unless `quiet`.
 */
export const making =
  <W extends MakingWords, R>(
    signal: AbortSignal,
    load: (words: W) => Promise<{
      readonly run: (job: Job) => Promise<R>;
      readonly inWords: (report: R, file: string, words: W) => readonly string[];
      /** Whether the report is not of all that was asked for: the words then go to the standard error. */
      readonly failed?: (report: R) => boolean;
    }>,
  ) =>
  (file: string, words: W): Promise<void> =>
    attempt(
      async () => {
        const { out, json = false, quiet = false } = words;
        const { run, inWords, failed } = await load(words);
        const report = await withProgress(out ?? file, quiet, (onProgress) =>
          run({ input: file, signal, onProgress }),
        );
        if (json) print(asJson(report));
        const lines = () => inWords(report, file, words).join('\n');
        if (failed?.(report)) {
          note(lines());
          throw new Told();
        }
        if (!json && !quiet) print(lines());
      },
      { ...words, signal },
    );

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
    expectGoing(signal);
    if (json && error instanceof InputError) print(asJson({ problems: error.problems }));
    throw error;
  } finally {
    clearInterval(awake);
  }
}
