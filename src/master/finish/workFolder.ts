import { mkdir, rename, stat } from 'node:fs/promises';
import { extname, join, resolve } from 'node:path';
import { diskError } from '../../encode/disk.js';
import { writtenTo } from '../../encode/links.js';
import { fileProblems } from '../../encode/target.js';
import { removeTemporary, temporaryBeside } from '../../encode/temporary.js';
import { writeWhole } from '../../encode/wholeFile.js';
import { InputError, type Problem, WorkError } from '../../errors.js';
import { checkFormat } from '../complete/save.js';

export interface FileJob {
  readonly input: string;
  readonly output: string;
  readonly overwrite?: boolean;
}

/** Everything that is wrong with writing to `output`, before anything is read. */
export async function outputProblems(job: FileJob): Promise<Problem[]> {
  const { input, output, overwrite = false } = job;
  if (await isSame(input, output)) {
    const message = 'is the master itself, which is never overwritten: give another name.';
    return [{ place: output, path: '', message }];
  }
  return [...formatProblems(output), ...(await fileProblems(output, overwrite))];
}

/** Also where a link leads to it, or a disk takes large and small letters for the same. */
async function isSame(input: string, output: string): Promise<boolean> {
  if (resolve(input) === resolve(output)) return true;
  const [a, b] = await Promise.all(
    [input, output].map((file) => stat(file).catch(() => undefined)),
  );
  return a !== undefined && a.dev === b?.dev && a.ino === b.ino;
}

function formatProblems(output: string): readonly Problem[] {
  try {
    checkFormat(output);
    return [];
  } catch (error) {
    if (error instanceof InputError) return error.problems;
    throw error;
  }
}

/** Paths in a folder of our own, which goes when the work is over. */
export interface WorkFolder {
  /** What becomes the output. */
  readonly result: string;
  path(name: string): string;
}

/**
 * Has `make` work in a folder beside the output, whose `result` gets the output's name when `make`
 * says that it has been written. Whatever goes wrong, and however the process ends, the folder goes.
 *
 * @throws InputError also when the output may not be written
 */
export async function inWorkFolder<T>(
  job: FileJob,
  make: (folder: WorkFolder) => Promise<{ readonly report: T; readonly written: boolean }>,
): Promise<T> {
  const problems = await outputProblems(job);
  if (problems.length > 0) throw new InputError(problems);
  const { output, overwrite = false } = job;
  const folder = temporaryBeside(await writtenTo(output), '.work');
  const result = join(folder, `result${extname(output).toLowerCase()}`);
  try {
    await mkdir(folder).catch((error: unknown) => {
      throw diskError(error, output);
    });
    const { report, written } = await make({ result, path: (name) => join(folder, name) });
    if (written) await writeWhole(output, overwrite, (temporary) => rename(result, temporary));
    return report;
  } catch (error) {
    throw inUsersTerms(error, folder, result, job);
  } finally {
    await removeTemporary(folder);
  }
}

/** The user knows neither the folder nor what is in it. */
function inUsersTerms(error: unknown, folder: string, result: string, job: FileJob): unknown {
  const said = (text: string) =>
    text
      .replaceAll(result, job.output)
      .split(folder)
      .map((part, index) => (index === 0 ? part : job.input + part.replace(/^[\w./\\-]*\w/u, '')))
      .join('');
  if (error instanceof InputError) {
    return new InputError(
      error.problems.map(({ place, path, message }) => ({
        place: said(place),
        path,
        message: said(message),
      })),
    );
  }
  return error instanceof WorkError ? new WorkError(said(error.message)) : error;
}
