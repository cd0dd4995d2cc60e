import sharp, { type Sharp } from 'sharp';
import { InputError } from '../../errors.js';
import { MOST_PIXELS } from '../decode/picture.js';
import { unusualSamples } from '../depth.js';
import { type Beside, besideColours, onlyTransparency } from '../transparency.js';
import type { Format } from './format.js';

/** A file's path, or a picture file's bytes. */
export type PictureSource = string | Buffer;

/** What a photo's header says of its pixels, as they are stored (not turned by EXIF's orientation). */
export interface Photo {
  readonly file: string;
  /** What is decoded: the file, or a picture taken out of it. */
  readonly source: PictureSource;
  readonly format: Format;
  readonly width: number;
  readonly height: number;
  /** Bits a channel. */
  readonly depth: number;
  /** What its samples are, where they are no codes of 8 or 16 bits. */
  readonly unusual: string | undefined;
  readonly channels: number;
  /** What is beside its colours, of which `source` has but the transparency. */
  readonly beside: Beside;
  /** libvips' name of the colour space: srgb, rgb16, b-w, grey16, cmyk, ... */
  readonly colourSpace: string;
  readonly palette: boolean;
  readonly hasProfile: boolean;
  /** EXIF's orientation, 1 to 8; 1 when there is none. */
  readonly orientation: number;
  /** Frames of an animation, or pages of a TIFF. */
  readonly pages: number;
}

const BITS: Readonly<Record<string, number>> = {
  char: 8,
  uchar: 8,
  short: 16,
  ushort: 16,
  int: 32,
};

const wrong = (file: string, message: string): InputError =>
  new InputError([{ place: file, path: '', message }]);

/** The last line that says something: libheif ends with a line of its error's number. */
export const lastWords = (error: unknown): string =>
  error instanceof Error
    ? (error.message.split('\n').findLast((line) => /\p{L}/u.test(line)) ?? '').trim()
    : String(error);

/** A sharp pipeline on the photo that fails on damage instead of filling in grey. */
export function decode(source: PictureSource, extra: { readonly ignoreIcc?: boolean } = {}): Sharp {
  return sharp(source, {
    limitInputPixels: MOST_PIXELS,
    failOn: 'error',
    sequentialRead: true,
    ...extra,
  });
}

/**
 * Reads a photo's header.
 *
 * @throws InputError when it cannot be read or claims a size that no master has.
 */
export async function readPhoto(
  file: string,
  format: Format,
  source: PictureSource = file,
): Promise<Photo> {
  const about = await sharp(source, { limitInputPixels: false })
    .metadata()
    .catch((error: unknown) => {
      const why = lastWords(error);
      throw wrong(file, `its ${format.title} header cannot be read (${why}); export it again`);
    });
  const { width, height } = about;
  if (!(width > 0 && height > 0)) throw wrong(file, 'its header gives no size; export it again');
  if (width * height > MOST_PIXELS) {
    const claimed = Math.round((width * height) / 1e6).toLocaleString('en');
    const most = (MOST_PIXELS / 1e6).toLocaleString('en');
    throw wrong(
      file,
      `its header claims ${width}x${height} pixels (${claimed} MP), more than the ${most} MP that any master has; the file is damaged or made to harm`,
    );
  }
  const beside = await besideColours(file, about);
  const plain = () =>
    onlyTransparency(file, { about, beside }).catch((error: unknown) => {
      throw damaged(file, error);
    });
  return {
    file,
    source: source === file ? await plain() : source,
    format,
    width,
    height,
    depth: about.bitsPerSample ?? BITS[about.depth ?? ''] ?? 32,
    unusual: unusualSamples(about),
    channels: about.channels ?? 3,
    beside,
    colourSpace: about.space ?? 'unknown',
    palette: about.isPalette ?? false,
    hasProfile: about.icc !== undefined,
    orientation: about.orientation ?? 1,
    pages: about.pages ?? 1,
  };
}

export const isAnimated = ({ format, pages }: Photo): boolean =>
  pages > 1 && ['gif', 'webp', 'avif', 'heic'].includes(format.name);

export function damaged(file: string, error: unknown): InputError {
  return wrong(
    file,
    `the picture is damaged or cut off (${lastWords(error)}); copy or export it again from its source`,
  );
}

/**
 * Reads all of a photo's data, at the smallest size the decoder offers.
 *
 * @throws InputError when they are damaged or end early.
 */
export async function expectDecodes({ file, source }: Photo): Promise<void> {
  await decode(source)
    .resize(32, 16, { fit: 'fill' })
    .raw()
    .toBuffer()
    .catch((error: unknown) => {
      throw damaged(file, error);
    });
}
