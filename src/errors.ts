/**
 * One thing that is wrong with what the user gave: where it is, and one sentence that says what was
 * expected, what was found and, where it is not obvious, how to mend it.
 */
export interface Problem {
  /** `file:line:column` or a file's path; empty when the place is the command line itself. */
  readonly place: string;
  /** The path within the file, as the user would write it: `keyframes[2].fov`. Empty for the whole. */
  readonly path: string;
  readonly message: string;
}

function sentence(problem: Problem): string {
  return [problem.place, problem.path, problem.message].filter((part) => part !== '').join(': ');
}

/** The user's input or usage is wrong: the command ends with exit code 2. Carries every problem found. */
export class InputError extends Error {
  override readonly name = 'InputError';
  readonly problems: readonly Problem[];

  constructor(problems: readonly Problem[] | string) {
    const list =
      typeof problems === 'string' ? [{ place: '', path: '', message: problems }] : problems;
    super(list.map(sentence).join('\n'));
    this.problems = list;
  }
}

/** Something failed while working on right input (disk, ffmpeg, GL): exit code 1. */
export class WorkError extends Error {
  override readonly name = 'WorkError';
}

/** The user stopped the work (Ctrl-C): exit code 130. */
export class Interrupted extends Error {
  override readonly name = 'Interrupted';
  constructor() {
    super('Interrupted.');
  }
}

/** @throws Interrupted once the user has asked to stop */
export function expectGoing(signal: AbortSignal | undefined): void {
  if (signal?.aborted) throw new Interrupted();
}
