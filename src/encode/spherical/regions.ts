import type { FileHandle } from 'node:fs/promises';
import { InputError } from '../../errors.js';
import { readBytes } from '../reading.js';

/** A box at the top of the file: where it lies, in bytes from the file's start. */
export interface Region {
  readonly type: string;
  readonly start: number;
  readonly size: number;
}

export const wrong = (file: string, message: string): InputError =>
  new InputError([{ place: file, path: '', message }]);

const KNOWN: readonly string[] = ['ftyp', 'moov', 'mdat', 'moof', 'mfra', 'free'];

/** What a movie starts with; QuickTime files may lack ftyp. */
const FIRST: readonly string[] = ['ftyp', 'moov', 'mdat', 'wide', 'free', 'skip', 'pnot', 'styp'];

/** The boxes at the top of an MP4 or MOV, without reading what is in them. */
export async function topBoxes(handle: FileHandle, file: string): Promise<Region[]> {
  const { size: end } = await handle.stat();
  const regions: Region[] = [];
  let at = 0;
  while (end - at >= 8) {
    const head = await readBytes(handle, at, Math.min(16, end - at));
    const size32 = head.readUInt32BE(0);
    const type = head.toString('latin1', 4, 8);
    if (regions.length === 0 && !FIRST.includes(type)) {
      throw wrong(file, 'expected an MP4 or MOV movie, found something else');
    }
    const wide = size32 === 1 && head.length === 16 ? Number(head.readBigUInt64BE(8)) : size32;
    const size = size32 === 0 ? end - at : wide;
    // What follows the last whole box and is none itself, such as a maker's trailer, is kept as it is.
    if (size < 8 || (size > end - at && !KNOWN.includes(type))) break;
    if (size > end - at) {
      const missing = size - (end - at);
      throw wrong(
        file,
        `the movie is cut off: box ${type} lacks its last ${missing} bytes; copy it again`,
      );
    }
    regions.push({ type, start: at, size });
    at += size;
  }
  return regions;
}
