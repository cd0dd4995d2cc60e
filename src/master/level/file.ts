import { open } from 'node:fs/promises';
import sharp, { type Sharp } from 'sharp';
import { InputError, WorkError } from '../../errors.js';
import { completeCommand } from '../commands.js';
import { save } from '../complete/save.js';
import { MOST_PIXELS } from '../decode/picture.js';
import { damaged } from '../inspect/photo.js';
import { checkMaster } from '../open.js';
import type { Samples } from '../pixels.js';
import { isOpaque } from '../transparency.js';
import { readStored, V_HEADER } from '../uncompressed.js';
import type { Sphere } from './sphere.js';

const FORMATS = ['jpeg', 'png', 'tiff', 'webp', 'heif'];

export interface MasterFacts {
  readonly width: number;
  readonly height: number;
  readonly depth: 8 | 16;
}

const wrong = (file: string, message: string): InputError =>
  new InputError([{ place: file, path: '', message }]);

const opened = (file: string): Sharp =>
  sharp(file, { failOn: 'error', limitInputPixels: MOST_PIXELS });

const reasonOf = (error: unknown): string =>
  error instanceof Error ? (error.message.trim().split('\n').at(-1) ?? '') : String(error);

/**
 * What a master's header says, once it is known to be a sphere that can be turned.
 *
 * @throws InputError otherwise
 */
export async function masterFacts(file: string): Promise<MasterFacts> {
  const { width, height } = await checkMaster(file);
  const about = await opened(file)
    .metadata()
    .catch((error: unknown) => {
      throw wrong(file, `expected a picture that can be read, found: ${reasonOf(error)}.`);
    });
  if (!FORMATS.includes(about.format ?? '')) {
    throw wrong(
      file,
      `expected JPEG, PNG, TIFF, WebP or AVIF, found ${about.format}; save it as one of these first.`,
    );
  }
  if ((about.pages ?? 1) > 1) {
    throw wrong(file, `expected a single picture, found ${about.pages} frames or pages.`);
  }
  if (about.space === 'cmyk')
    throw wrong(file, 'expected RGB or grey, found CMYK; convert it to sRGB.');
  if (width % 2 !== 0) {
    throw wrong(
      file,
      `expected an even width, found ${width}x${height}; complete it to 2:1 first: ${completeCommand(file)}`,
    );
  }
  if (!(await isOpaque(file))) {
    throw wrong(
      file,
      `expected a whole sphere, found transparent parts; save it without transparency, or complete it first: ${completeCommand(file)}`,
    );
  }
  return { width, height, depth: about.depth === 'ushort' ? 16 : 8 };
}

/**
 * Decodes a master into `spill`, an uncompressed file that also keeps its metadata. Code values stay as
 * they are stored: no colour profile is applied.
 */
export async function spillMaster(
  file: string,
  spill: string,
  { depth }: MasterFacts,
): Promise<void> {
  const pipeline = opened(file).keepMetadata().autoOrient().removeAlpha();
  try {
    await pipeline.toColourspace(depth === 8 ? 'srgb' : 'rgb16').toFile(spill);
  } catch (error) {
    throw damaged(file, error);
  }
}

/** The spilled master's samples, in memory that threads can share. */
export async function readSphere(spill: string, facts: MasterFacts): Promise<Sphere> {
  const { width, height, depth } = facts;
  const shared = new SharedArrayBuffer((width * height * 3 * depth) / 8);
  const bytes = new Uint8Array(shared);
  const handle = await open(spill, 'r');
  try {
    await readStored(handle, bytes);
  } finally {
    await handle.close();
  }
  return { width, height, data: depth === 8 ? bytes : new Uint16Array(shared) };
}

/** Opens the spilled file to have its rows replaced. */
export async function openRows(spill: string, { width, depth }: MasterFacts) {
  const handle = await open(spill, 'r+');
  return {
    async write(first: number, strip: Samples): Promise<void> {
      const bytes = new Uint8Array(strip.buffer, strip.byteOffset, strip.byteLength);
      await handle.write(bytes, 0, bytes.length, V_HEADER + (first * width * 3 * depth) / 8);
    },
    close: () => handle.close(),
  };
}

/** Encodes the spilled file into `temporary`, which messages call `file`. */
export async function encode(
  spill: string,
  temporary: string,
  file: string,
  depth: 8 | 16,
  quality: number,
): Promise<void> {
  await save(spill, temporary, depth, quality).catch((error: unknown) => {
    throw error instanceof WorkError
      ? new WorkError(error.message.replace(temporary, file))
      : error;
  });
}
