import { rename } from 'node:fs/promises';
import { extname } from 'node:path';
import sharp, { type Sharp } from 'sharp';
import { removeTemporary, temporaryBeside } from '../../encode/temporary.js';
import { InputError, WorkError } from '../../errors.js';

/** Classic TIFF counts bytes with 32 bits; some are left for the metadata. */
const MOST_CLASSIC_BYTES = 4e9;

/** Pixels. */
const MOST_OPTIMIZED = 64e6;

interface Encoding {
  readonly quality: number;
  readonly pixels: number;
  /** Of the uncompressed samples. */
  readonly bytes: number;
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
  '.tif': (p, { bytes }) =>
    p.tiff({
      compression: 'deflate',
      predictor: 'horizontal',
      // Only where it must be: fewer programs read it, and ExifTool writes no metadata into it.
      bigtiff: bytes > MOST_CLASSIC_BYTES,
    }),
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
  const pipeline = sharp(spill, { unlimited: false }).keepMetadata().toColourspace(space);
  try {
    const { width, height, channels } = await pipeline.metadata();
    const pixels = width * height;
    const bytes = pixels * channels * (depth / 8);
    await FORMATS[format]!(pipeline, { quality, pixels, bytes }).toFile(part);
    await rename(part, file);
  } catch (error) {
    throw new WorkError(
      `${file}: cannot be written: ${error instanceof Error ? error.message : error}.`,
    );
  } finally {
    await removeTemporary(part);
  }
}
