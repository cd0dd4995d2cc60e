import sharp from 'sharp';
import { InputError } from '../../errors.js';
import { isWhole } from '../inspect/coverage.js';
import { detectFormat } from '../inspect/format.js';
import { damaged, decode, readPhoto } from '../inspect/photo.js';
import type { Inspection } from '../inspect.js';

/** @throws InputError for a video, which can only be marked, and for several pictures in one file */
export async function expectOnePhoto({ file, kind, format }: Inspection): Promise<void> {
  const wrong = (message: string) => new InputError([{ place: file, path: '', message }]);
  if (kind === 'video') {
    throw wrong(
      `expected a photo, found a video (${format}): 'orbreel master inspect' and 'orbreel master mark' are for videos too`,
    );
  }
  const { pages } = await readPhoto(file, await detectFormat(file));
  if (pages === 1) return;
  throw wrong(`expected a single picture, found ${pages} frames or pages; save one of them.`);
}

/** Whether a picture shows the whole sphere, exactly twice as wide as high, and through nothing. */
export async function showsAll(inspection: Inspection): Promise<boolean> {
  const { coverage, holes, width, height, channels, file } = inspection;
  if (!isWhole(coverage) || holes.length > 0 || width !== 2 * height) return false;
  return channels % 2 === 1 || (await decode(file).stats()).isOpaque;
}

/** The picture as it is, upright, as a PNG. */
export async function convert({ file, depth, colourSpace }: Inspection, to: string): Promise<void> {
  if (colourSpace === 'cmyk') {
    const message = 'expected RGB or grey, found CMYK; convert it to sRGB.';
    throw new InputError([{ place: file, path: '', message }]);
  }
  await sharp(file, { failOn: 'error', limitInputPixels: false })
    .keepMetadata()
    .autoOrient()
    .toColourspace(depth > 8 ? 'rgb16' : 'srgb')
    .png({ compressionLevel: 2 })
    .toFile(to)
    .catch((error: unknown) => {
      throw damaged(file, error);
    });
}
