import sharp from 'sharp';
import { InputError } from '../../errors.js';
import { samplesComplaint } from '../depth.js';
import { isWhole } from '../inspect/coverage.js';
import { detectFormat, extensionFits, type Format } from '../inspect/format.js';
import { damaged, readPhoto } from '../inspect/photo.js';
import type { Inspection } from '../inspect.js';
import { gpanoInXmp, projectionComplaint, smallness } from '../sphere.js';
import { besideColours, isOpaque } from '../transparency.js';

/** @throws InputError for a video, which can only be marked, and for several pictures in one file */
export async function expectOnePhoto({
  file,
  kind,
  format,
}: Pick<Inspection, 'file' | 'kind' | 'format'>): Promise<void> {
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

/** @throws InputError for what has other samples than of 8 or 16 bits, is too small for a sphere, or says that it is laid out otherwise */
export async function expectSpherical(file: string): Promise<void> {
  const about = await sharp(file, { limitInputPixels: false }).metadata();
  const complaint =
    samplesComplaint(about) ?? smallness(about) ?? projectionComplaint(file, gpanoInXmp(about.xmp));
  if (complaint !== undefined)
    throw new InputError([{ place: file, path: '', message: complaint }]);
}

/** Programs differ on turning a sphere: its width may be meant as its height. @throws InputError then */
export async function expectUpright(file: string): Promise<void> {
  const { orientation, width, height } = await readPhoto(file, await detectFormat(file));
  if (orientation < 5) return;
  const message = `expected a picture that is stored upright, found ${width}x${height} to be turned to ${height}x${width} (EXIF's orientation ${orientation}); export it upright, without this tag.`;
  throw new InputError([{ place: file, path: '', message }]);
}

/** Whether the output may be a copy; a BigTIFF has no place for the marks. */
export const canStayAs = (output: string, format: Format): boolean =>
  format.name !== 'bigtiff' && extensionFits(output, format);

/** Whether a picture shows the whole sphere, exactly twice as wide as high, and through nothing. */
export async function showsAll(inspection: Inspection): Promise<boolean> {
  const { coverage, holes, width, height, file } = inspection;
  if (!isWhole(coverage) || holes.length > 0 || width !== 2 * height) return false;
  return isOpaque(file);
}

/** The picture as it is, upright, as a PNG. */
export async function convert({ file, depth, colourSpace }: Inspection, to: string): Promise<void> {
  if (colourSpace === 'cmyk') {
    const message = 'expected RGB or grey, found CMYK; convert it to sRGB.';
    throw new InputError([{ place: file, path: '', message }]);
  }
  const picture = sharp(file, { failOn: 'error', limitInputPixels: false });
  const { alpha } = await besideColours(file, await picture.metadata());
  await (alpha === undefined ? picture.removeAlpha() : picture)
    .keepMetadata()
    .autoOrient()
    .toColourspace(depth > 8 ? 'rgb16' : 'srgb')
    .png({ compressionLevel: 2 })
    .toFile(to)
    .catch((error: unknown) => {
      throw damaged(file, error);
    });
}
