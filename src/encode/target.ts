import { chmod, link, lstat, open, rename, stat, unlink } from 'node:fs/promises';
import { dirname, resolve } from 'node:path';
import { type Problem, WorkError } from '../errors.js';
import { diskError } from './disk.js';
import { behindLinks, writtenTo } from './links.js';
import { release, removeTemporary, temporaryBeside } from './temporary.js';

/** A file that is written under a name of its own and gets its right name when it is whole. */
export interface Target {
  /** Absolute. */
  readonly temporary: string;
  commit(): Promise<void>;
  discard(): Promise<void>;
}

export const isFolder = async (path: string): Promise<boolean> =>
  (await stat(path).catch(() => undefined))?.isDirectory() ?? false;

export const exists = async (path: string): Promise<boolean> =>
  (await stat(path).catch(() => undefined)) !== undefined;

export const alreadyThere = (file: string): Problem => ({
  place: file,
  path: '',
  message: 'already exists: choose another name, or add --overwrite to replace it.',
});

export const noFolder = (file: string, folder = dirname(file)): Problem => ({
  place: file,
  path: '',
  message: `the folder ${folder} does not exist: make it first, or choose another.`,
});

/** Why `file` may not be written; empty when it may. */
export async function fileProblems(file: string, overwrite: boolean): Promise<Problem[]> {
  if (!(await isFolder(dirname(resolve(file))))) return [noFolder(file)];
  const problem = (message: string): Problem[] => [{ place: file, path: '', message }];
  // An empty name has no ending either, which says more.
  if (file === '') return [];
  const real = await behindLinks(file);
  if (real === undefined) return problem('is a link that leads back to itself: name a file.');
  const facts = await stat(real).catch(() => undefined);
  if (facts === undefined) {
    const folder = dirname(real);
    return (await isFolder(folder))
      ? []
      : problem(
          `is a link to ${real}, whose folder does not exist: make it, or name another file.`,
        );
  }
  if (facts.isDirectory()) return problem('is a folder: name a file.');
  if (!facts.isFile()) return problem('is no file but a device or the like: name a file.');
  return overwrite ? [] : [alreadyThere(file)];
}

/**
 * Where `file` is a link, what it points at is written, and the link stays; a file that is replaced keeps its
 * permissions.
 *
 * @throws InputError where the folder cannot be written to.
 */
export async function openTarget(file: string, overwrite: boolean): Promise<Target> {
  const final = await writtenTo(file);
  const temporary = temporaryBeside(final);
  try {
    // Made at once, so that a folder that refuses is found out before the first frame is drawn.
    await (await open(temporary, 'wx')).close();
  } catch (error) {
    release(temporary);
    throw diskError(error, file);
  }
  return {
    temporary,
    discard: () => removeTemporary(temporary),
    async commit() {
      try {
        if (overwrite) await replace(temporary, final);
        else await renameNew(temporary, final);
      } catch (error) {
        await removeTemporary(temporary);
        throw (error as NodeJS.ErrnoException).code === 'EEXIST'
          ? new WorkError(
              `${file} appeared while it was being made: the one that is there was kept.`,
            )
          : diskError(error, file);
      }
      release(temporary);
    },
  };
}

async function replace(from: string, to: string): Promise<void> {
  const before = await stat(to).catch(() => undefined);
  if (before?.isFile()) await chmod(from, before.mode & 0o7777);
  await rename(from, to);
}

/** Renames only where nothing is in the way. @throws EEXIST otherwise. */
export async function renameNew(from: string, to: string): Promise<void> {
  try {
    await link(from, to);
  } catch (error) {
    const { code = '' } = error as NodeJS.ErrnoException;
    // Some disks (FAT, some network shares) know no hard links.
    if (!['EPERM', 'ENOTSUP', 'EOPNOTSUPP', 'ENOSYS', 'EMLINK'].includes(code)) throw error;
    // Also a link that leads nowhere is in the way.
    if (await lstat(to).catch(() => undefined))
      throw Object.assign(new Error(`${to} exists`), { code: 'EEXIST' });
    return rename(from, to);
  }
  await unlink(from);
}
