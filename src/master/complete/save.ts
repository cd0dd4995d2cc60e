import { rename } from 'node:fs/promises';
import { extname } from 'node:path';
import sharp, { type Sharp } from 'sharp';
import { removeTemporary, temporaryBeside } from '../../encode/temporary.js';
import { InputError, WorkError } from '../../errors.js';
import { MOST_PIXELS } from '../decode/picture.js';

/** Pixels a side: of JPEG what libjpeg takes, of AVIF what libheif does, of WebP what the format holds. */
const LARGEST_SIDE: Readonly<Record<string, number>> = {
  '.jpg': 65_500,
  '.webp': 16_383,
  '.avif': 16_384,
};

/**
 * Bytes of samples: no array holds more than 2 ** 32, nor does TIFF, some of which are left for the metadata. BigTIFF
 * would, but fewer programs read it, and ExifTool (13.59) writes no metadata into it.
 */
const MOST_BYTES = 4e9;

/** Pixels. */
const MOST_OPTIMIZED = 64e6;

interface Encoding {
  readonly quality: number;
  readonly pixels: number;
}

const FORMATS: Readonly<Record<string, (pipeline: Sharp, encoding: Encoding) => Sharp>> = {
  '.jpg': (p, { quality, pixels }) =>
    p.jpeg({
      quality,
      chromaSubsampling: '4:4:4',
      // Codes made for the picture save some per cent, but the encoder then holds 6 bytes of every pixel.
      optimizeCoding: pixels <= MOST_OPTIMIZED,
    }),
  '.png': (p) => p.png({ compressionLevel: 6 }),
  '.tif': (p) => p.tiff({ compression: 'deflate', predictor: 'horizontal' }),
  '.webp': (p, { quality }) => p.webp({ quality }),
  '.avif': (p, { quality }) => p.avif({ quality, chromaSubsampling: '4:4:4' }),
};
const SAME: Readonly<Record<string, string>> = { '.jpeg': '.jpg', '.tiff': '.tif' };
const KEEPS_16 = ['.png', '.tif'];

function formatOf(file: string): string {
  const ending = extname(file).toLowerCase();
  return SAME[ending] ?? ending;
}

/** Throws InputError unless the ending names a format that a master can be written in. */
export function checkFormat(file: string): void {
  if (FORMATS[formatOf(file)]) return;
  const known = [...Object.keys(FORMATS), ...Object.keys(SAME)].join(', ');
  throw new InputError([
    {
      place: file === '' ? 'the output' : file,
      path: '',
      message: `expected an ending from ${known}, found "${extname(file)}".`,
    },
  ]);
}

/** Throws InputError where a picture is larger than can be worked on, or than the ending's format holds. */
export function expectFits(
  file: string,
  { width, height, depth }: { width: number; height: number; depth: 8 | 16 },
): void {
  const wrong = (message: string) => new InputError([{ place: file, path: '', message }]);
  const format = formatOf(file);
  const side = LARGEST_SIDE[format];
  if (side !== undefined && Math.max(width, height) > side) {
    const others = format === '.jpg' ? '.png' : '.jpg, .png or .tif';
    throw wrong(
      `expected at most ${side} pixels a side, as ${format} holds, found ${width}x${height}: choose ${others}.`,
    );
  }
  const bytes = (width * height * 3 * depth) / 8;
  if (bytes > MOST_BYTES) {
    const [found, most] = [bytes, MOST_BYTES].map(
      (count) => `${Number((count / 1e9).toFixed(1))} GB`,
    );
    throw wrong(
      `expected a picture of at most ${most} of samples, found ${width}x${height} of ${depth} bits, ${found}: make a smaller copy first.`,
    );
  }
}

/** Whether the format gives back the very code values: PNG and TIFF do. */
export const isLossless = (file: string): boolean => KEEPS_16.includes(formatOf(file));

/**
 * Encodes the uncompressed file with its metadata: first beside the target, then renamed to it, so
 * that nothing half-written is left. 16 bit stays 16 bit in PNG and TIFF, and becomes 8 elsewhere.
 */
export async function save(
  spill: string,
  file: string,
  depth: 8 | 16,
  quality: number,
): Promise<void> {
  const format = formatOf(file);
  const part = temporaryBeside(file);
  const space = depth === 16 && KEEPS_16.includes(format) ? 'rgb16' : 'srgb';
  const pipeline = sharp(spill, { limitInputPixels: MOST_PIXELS })
    .keepMetadata()
    .toColourspace(space);
  try {
    const { width, height } = await pipeline.metadata();
    expectFits(file, { width, height, depth });
    await FORMATS[format]!(pipeline, { quality, pixels: width * height }).toFile(part);
    await rename(part, file);
  } catch (error) {
    if (error instanceof InputError) throw error;
    throw new WorkError(
      `${file}: cannot be written: ${error instanceof Error ? error.message : error}.`,
    );
  } finally {
    await removeTemporary(part);
  }
}
