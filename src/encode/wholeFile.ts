import { InputError } from '../errors.js';
import { diskError } from './disk.js';
import { fileProblems, openTarget } from './target.js';

/**
 * Has `write` fill a temporary file beside `file`, which gets its name when it is whole. Whatever
 * goes wrong, nothing half-written stays and an existing file is as it was.
 *
 * @throws InputError when `file` exists and `overwrite` is false, or its folder cannot take it.
 */
export async function writeWhole<T>(
  file: string,
  overwrite: boolean,
  write: (temporary: string) => Promise<T>,
): Promise<T> {
  const problems = await fileProblems(file, overwrite);
  if (problems.length > 0) throw new InputError(problems);
  const target = await openTarget(file, overwrite);
  try {
    const result = await write(target.temporary);
    await target.commit();
    return result;
  } catch (error) {
    await target.discard();
    throw (error as NodeJS.ErrnoException).code === undefined ? error : diskError(error, file);
  }
}
