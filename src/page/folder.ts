import { mkdir, readdir, rename, rmdir, stat, writeFile } from 'node:fs/promises';
import { dirname, join, resolve } from 'node:path';
import { diskError } from '../encode/disk.js';
import { writtenTo } from '../encode/links.js';
import { exists, isFolder, noFolder } from '../encode/target.js';
import { release, removeTemporary, temporaryBeside } from '../encode/temporary.js';
import { InputError, type Problem } from '../errors.js';

const PAGE = 'index.html';
export const TILES = 'tiles';

/** Where a page and its tiles are put while they are made. */
export interface PageFolder {
  tile(name: string, text: string): Promise<void>;
  page(html: string): Promise<void>;
}

/** Why a page may not be put into `folder`; empty when it may. */
export async function folderProblems(folder: string, overwrite: boolean): Promise<Problem[]> {
  const problem = (message: string): Problem[] => [{ place: folder, path: '', message }];
  if (!(await isFolder(dirname(resolve(folder))))) return [noFolder(folder)];
  if (!(await exists(folder))) return [];
  if (!(await isFolder(folder))) return problem('is a file; a page with tiles needs a folder.');
  const there = await readdir(folder);
  if (there.length === 0) return [];
  const others = there.filter((name) => name !== PAGE && name !== TILES);
  if (others.length > 0) {
    return problem(
      `holds other files (${others.slice(0, 3).join(', ')}): choose a folder that is new or empty.`,
    );
  }
  return overwrite
    ? []
    : problem('already holds a page: choose another, or add --overwrite to replace it.');
}

/**
 * Has `write` fill a folder beside `folder`, which takes its name and place when it is whole.
 *
 * @throws InputError with every problem of `folderProblems`
 */
export async function writeFolder(
  folder: string,
  overwrite: boolean,
  write: (place: PageFolder) => Promise<void>,
): Promise<void> {
  const problems = await folderProblems(folder, overwrite);
  if (problems.length > 0) throw new InputError(problems);
  const final = await writtenTo(folder);
  const working = temporaryBeside(final, '');
  try {
    await mkdir(join(working, TILES), { recursive: true });
    await write({
      tile: (name, text) => writeFile(join(working, TILES, `${name}.js`), text),
      page: (html) => writeFile(join(working, PAGE), html),
    });
    await putInPlace(working, final);
    release(working);
  } catch (error) {
    await removeTemporary(working);
    throw (error as NodeJS.ErrnoException).code === undefined ? error : diskError(error, folder);
  }
}

async function putInPlace(working: string, final: string): Promise<void> {
  if ((await stat(final).catch(() => undefined)) === undefined) return rename(working, final);
  if ((await readdir(final)).length === 0) {
    await rmdir(final);
    return rename(working, final);
  }
  const old = temporaryBeside(final, '');
  await rename(final, old);
  try {
    await rename(working, final);
  } catch (error) {
    await rename(old, final);
    release(old);
    throw error;
  }
  await removeTemporary(old);
}
