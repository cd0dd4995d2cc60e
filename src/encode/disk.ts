import { InputError, WorkError } from '../errors.js';

const SENTENCES: Readonly<Record<string, string>> = {
  ENOSPC: 'the disk is full',
  EDQUOT: 'your disk quota is used up',
  EACCES: 'the folder does not let you write there',
  EPERM: 'the folder does not let you write there',
  EROFS: 'the disk can only be read',
  ENAMETOOLONG: 'the name is too long for this disk',
  EMFILE: 'too many files are open',
  EFBIG: 'the file grew larger than this disk allows',
  EIO: 'the disk reported an error',
};

const CHOICES_OF_THE_USER = new Set(['EACCES', 'EPERM', 'EROFS', 'ENAMETOOLONG']);

/** What the operating system said while `file` was written, in one sentence of ours. */
export function diskError(error: unknown, file: string): InputError | WorkError {
  if (error instanceof WorkError || error instanceof InputError) return error;
  const { code = '', message } = error as NodeJS.ErrnoException;
  const sentence = `cannot be written: ${SENTENCES[code] ?? message}`;
  return CHOICES_OF_THE_USER.has(code)
    ? new InputError([{ place: file, path: '', message: `${sentence}.` }])
    : new WorkError(`${file}: ${sentence}.`);
}
