import { stat } from 'node:fs/promises';
import { extname } from 'node:path';
import { readBytes } from '../../encode/reading.js';
import { InputError } from '../../errors.js';
import { openFile, whyMissing } from '../openFile.js';

export type FormatName =
  | 'jpeg'
  | 'png'
  | 'webp'
  | 'tiff'
  | 'bigtiff'
  | 'avif'
  | 'heic'
  | 'gif'
  | 'mp4'
  | 'mov'
  | 'matroska';

/** What a file is by its first bytes, whatever its name says. */
export interface Format {
  readonly name: FormatName;
  readonly title: string;
  readonly kind: 'photo' | 'video';
  /** Extensions that fit, the usual one first. */
  readonly extensions: readonly string[];
}

const FORMATS: readonly Format[] = [
  { name: 'jpeg', title: 'JPEG', kind: 'photo', extensions: ['.jpg', '.jpeg', '.jpe', '.jfif'] },
  { name: 'png', title: 'PNG', kind: 'photo', extensions: ['.png'] },
  { name: 'webp', title: 'WebP', kind: 'photo', extensions: ['.webp'] },
  { name: 'tiff', title: 'TIFF', kind: 'photo', extensions: ['.tif', '.tiff'] },
  { name: 'bigtiff', title: 'BigTIFF', kind: 'photo', extensions: ['.tif', '.tiff', '.btf'] },
  { name: 'avif', title: 'AVIF', kind: 'photo', extensions: ['.avif'] },
  { name: 'heic', title: 'HEIC', kind: 'photo', extensions: ['.heic', '.heif'] },
  { name: 'gif', title: 'GIF', kind: 'photo', extensions: ['.gif'] },
  { name: 'mp4', title: 'MP4', kind: 'video', extensions: ['.mp4', '.m4v'] },
  { name: 'mov', title: 'QuickTime movie', kind: 'video', extensions: ['.mov', '.qt'] },
  { name: 'matroska', title: 'Matroska or WebM', kind: 'video', extensions: ['.mkv', '.webm'] },
];

const HEIF_BRANDS = ['heic', 'heix', 'hevc', 'hevx', 'heim', 'heis', 'mif1', 'msf1'];
const QUICKTIME_ATOMS = ['moov', 'mdat', 'wide', 'free', 'skip', 'pnot'];

function nameOf(head: Buffer): FormatName | undefined {
  const hex = head.toString('hex');
  const text = (from: number, to: number) => head.toString('latin1', from, to);
  if (hex.startsWith('ffd8ff')) return 'jpeg';
  if (hex.startsWith('89504e470d0a1a0a')) return 'png';
  if (text(0, 4) === 'RIFF' && text(8, 12) === 'WEBP') return 'webp';
  if (hex.startsWith('49492a00') || hex.startsWith('4d4d002a')) return 'tiff';
  if (hex.startsWith('49492b00') || hex.startsWith('4d4d002b')) return 'bigtiff';
  if (text(0, 4) === 'GIF8') return 'gif';
  if (hex.startsWith('1a45dfa3')) return 'matroska';
  if (text(4, 8) === 'ftyp') return brandOf(head);
  return QUICKTIME_ATOMS.includes(text(4, 8)) ? 'mov' : undefined;
}

function brandOf(head: Buffer): FormatName {
  const end = Math.min(head.length, head.readUInt32BE(0));
  const brands: string[] = [];
  for (let at = 8; at + 4 <= end; at += 4) brands.push(head.toString('latin1', at, at + 4));
  if (brands.some((brand) => brand === 'avif' || brand === 'avis')) return 'avif';
  if (HEIF_BRANDS.includes(brands[0] ?? '')) return 'heic';
  return brands[0] === 'qt  ' ? 'mov' : 'mp4';
}

const wrong = (file: string, message: string): InputError =>
  new InputError([{ place: file, path: '', message }]);

/**
 * What a file is, by its content.
 *
 * @throws InputError when there is no such file, it may not be read, is empty, or no photo or video we know.
 */
export async function detectFormat(file: string): Promise<Format> {
  const name = nameOf(await headOf(file));
  const format = FORMATS.find((each) => each.name === name);
  if (format !== undefined) return format;
  throw wrong(
    file,
    'expected a photo (JPEG, TIFF, PNG, WebP, AVIF) or video (MP4, MOV, WebM, Matroska), found something else',
  );
}

/**
 * The first bytes of a picture or video file, at most 64.
 *
 * @throws InputError when there is no such file, it may not be read or is empty
 */
export async function headOf(file: string): Promise<Buffer> {
  const about = await stat(file).catch((error: unknown) => {
    throw wrong(file, whyMissing(error));
  });
  if (!about.isFile()) throw wrong(file, 'expected a photo or video, found a folder or device');
  if (about.size === 0)
    throw wrong(file, 'the file is empty (0 bytes); copy it again from its source');
  const handle = await openFile(file);
  try {
    return await readBytes(handle, 0, 64);
  } finally {
    await handle.close();
  }
}

/** @throws InputError where the file's name says that it is something else */
export function expectNameFits(file: string, format: Format): void {
  if (extensionFits(file, format)) return;
  throw wrong(
    file,
    `the name says otherwise, but its content is ${format.title}; rename it to end in ${format.extensions[0]}`,
  );
}

/** Whether the file's name ends as its content asks. */
export function extensionFits(file: string, format: Format): boolean {
  return format.extensions.includes(extname(file).toLowerCase());
}
