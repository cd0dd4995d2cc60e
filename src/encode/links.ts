import { lstat, readlink } from 'node:fs/promises';
import { dirname, resolve } from 'node:path';

/** As many as Linux follows. */
const MOST_LINKS = 40;

/**
 * The file that a name stands for in the end, whether it exists yet or not: what is written to a link goes where it
 * points, and the link stays.
 *
 * @returns an absolute path; undefined where links lead round in a circle
 */
export async function behindLinks(file: string): Promise<string | undefined> {
  let path = resolve(file);
  for (let links = 0; links <= MOST_LINKS; links++) {
    const facts = await lstat(path).catch(() => undefined);
    if (!facts?.isSymbolicLink()) return path;
    path = resolve(dirname(path), await readlink(path));
  }
  return undefined;
}

/** The same for names that have been checked: where they go, an absolute path. */
export const writtenTo = async (file: string): Promise<string> =>
  (await behindLinks(file)) ?? resolve(file);
