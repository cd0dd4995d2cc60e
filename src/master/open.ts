import { stat } from 'node:fs/promises';
import sharp, { type Metadata, type Sharp } from 'sharp';
import { InputError } from '../errors.js';
import type { Pixels } from './pixels.js';

/** More than any camera's master has; a header that claims more is not believed. */
export const MOST_PIXELS = 1_500_000_000;

/** How far from 2:1 a whole sphere may be through rounding. */
const ASPECT_TOLERANCE = 0.005;

/**
 * Reads a master whole: oriented by its EXIF, converted to sRGB by its ICC profile, 8 bits, transparent
 * parts black.
 *
 * @param file path of a JPEG, PNG, TIFF, WebP or AVIF file of the whole sphere
 * @throws InputError when it is no such picture
 */
export async function openMaster(file: string): Promise<Pixels> {
  await checkMaster(file);
  const picture = sharp(file, OPTIONS);
  try {
    const { data, info } = await picture
      .rotate()
      .flatten({ background: 'black' })
      .toColourspace('srgb')
      .removeAlpha()
      .raw({ depth: 'uchar' })
      .toBuffer({ resolveWithObject: true });
    return { width: info.width, height: info.height, data };
  } catch (error) {
    throw new InputError([
      {
        place: file,
        path: '',
        message: `expected a whole picture, but it could not be decoded (${lastWords(error)}): export it again from the original`,
      },
    ]);
  }
}

const OPTIONS = { limitInputPixels: MOST_PIXELS, failOn: 'error' } as const;

/**
 * What can be said of a master by its header alone, which is quick.
 *
 * @throws InputError when it is no picture of a whole sphere
 */
export async function checkMaster(file: string): Promise<void> {
  await expectFile(file);
  expectSphere(file, await readHeader(file, sharp(file, OPTIONS)));
}

async function expectFile(file: string): Promise<void> {
  const facts = await stat(file).catch(() => undefined);
  if (facts?.isFile()) return;
  const found = facts === undefined ? 'there is no such file' : 'this is a folder';
  throw new InputError([
    { place: file, path: '', message: `expected the master, a picture file; ${found}` },
  ]);
}

async function readHeader(file: string, picture: Sharp): Promise<Metadata> {
  try {
    return await picture.metadata();
  } catch (error) {
    throw new InputError([
      {
        place: file,
        path: '',
        message: `expected a JPEG, PNG, TIFF, WebP or AVIF picture, found something else (${lastWords(error)})`,
      },
    ]);
  }
}

function expectSphere(file: string, { width, height, orientation = 1 }: Metadata): void {
  const [across, down] = orientation > 4 ? [height, width] : [width, height];
  if (Math.abs(across / down - 2) <= 2 * ASPECT_TOLERANCE) return;
  throw new InputError([
    {
      place: file,
      path: '',
      message: `expected a master of the whole sphere, twice as wide as high, found ${across}x${down}: complete it to 2:1 first`,
    },
  ]);
}

function lastWords(error: unknown): string {
  return (error as Error).message.trim().split('\n').at(-1) ?? '';
}
