import { type FileHandle, open } from 'node:fs/promises';
import { InputError } from '../errors.js';

/**
 * Opens a file that is there, to be read.
 *
 * @throws InputError when this user may not, or the disk does not give it
 */
export async function openFile(file: string): Promise<FileHandle> {
  return open(file).catch((error: unknown) => {
    throw new InputError([{ place: file, path: '', message: whyNot(error) }]);
  });
}

function whyNot(error: unknown): string {
  const { code = '', message } = error as NodeJS.ErrnoException;
  return code === 'EACCES' || code === 'EPERM'
    ? 'expected a file that may be read, found that you lack the permission; give it to yourself, or copy the file'
    : `expected a file that can be read, but it cannot be opened (${message}); copy it again from its source`;
}

/** Why there are no facts on a file. */
export const whyMissing = (error: unknown): string =>
  ['EACCES', 'EPERM'].includes((error as NodeJS.ErrnoException).code ?? '')
    ? 'you lack the permission to look into its folder'
    : 'there is no such file';
