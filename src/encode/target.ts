import { link, open, rename, stat, unlink } from 'node:fs/promises';
import { dirname, resolve } from 'node:path';
import { type Problem, WorkError } from '../errors.js';
import { diskError } from './disk.js';
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
  if (await isFolder(file))
    return [{ place: file, path: '', message: 'is a folder: name a file.' }];
  return !overwrite && (await exists(file)) ? [alreadyThere(file)] : [];
}

/** @throws InputError where the folder cannot be written to. */
export async function openTarget(file: string, overwrite: boolean): Promise<Target> {
  const final = resolve(file);
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
        await (overwrite ? rename(temporary, final) : renameNew(temporary, final));
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

/** Renames only where nothing is in the way. @throws EEXIST otherwise. */
export async function renameNew(from: string, to: string): Promise<void> {
  try {
    await link(from, to);
  } catch (error) {
    const { code = '' } = error as NodeJS.ErrnoException;
    // Some disks (FAT, some network shares) know no hard links.
    if (!['EPERM', 'ENOTSUP', 'EOPNOTSUPP', 'ENOSYS', 'EMLINK'].includes(code)) throw error;
    if (await exists(to)) throw Object.assign(new Error(`${to} exists`), { code: 'EEXIST' });
    return rename(from, to);
  }
  await unlink(from);
}
