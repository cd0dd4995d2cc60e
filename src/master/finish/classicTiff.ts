import { rename } from 'node:fs/promises';
import sharp from 'sharp';
import { detectFormat } from '../inspect/format.js';

/** Classic TIFF counts bytes with 32 bits; some are left for the metadata. */
const MOST_BYTES = 4e9;

/**
 * Rewrites a BigTIFF that need not be one as a classic TIFF, which more programs read and whose
 * metadata ExifTool can write. Other files stay as they are.
 */
export async function classicTiff(file: string): Promise<void> {
  const { name } = await detectFormat(file);
  if (name !== 'bigtiff') return;
  const picture = sharp(file, { limitInputPixels: false });
  const { width, height, channels, depth, space } = await picture.metadata();
  const samples = width * height * channels;
  if (samples * (depth === 'ushort' ? 2 : 1) > MOST_BYTES) return;
  const part = `${file}.classic.tif`;
  await picture
    .keepMetadata()
    .toColourspace(space)
    .tiff({ compression: 'deflate', predictor: 'horizontal' })
    .toFile(part);
  await rename(part, file);
}
