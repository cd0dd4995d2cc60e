import { extname } from 'node:path';
import sharp, { type Sharp } from 'sharp';

export interface Picture {
  /** RGBA, 8 bits each, sRGB-encoded, straight alpha, rows from the top. */
  readonly rgba: Uint8Array;
  readonly width: number;
  readonly height: number;
  /** Keep the alpha channel, where the format has one. */
  readonly alpha: boolean;
  /** 1 to 100, for the lossy formats; WebP is lossless at 100. */
  readonly quality: number;
  /** Pack quickly rather than small: a frame among many. */
  readonly quick: boolean;
}

export interface ImageFormat {
  readonly title: string;
  readonly extensions: readonly string[];
  readonly alpha: boolean;
  /** Pixels. */
  readonly longestSide: number;
  pack(image: Sharp, picture: Picture): Sharp;
}

export const IMAGE_FORMATS: readonly ImageFormat[] = [
  {
    title: 'PNG',
    extensions: ['.png'],
    alpha: true,
    longestSide: 2 ** 31 - 1,
    // Filters cost a third more time than none and save a quarter of the bytes; zlib above 2 saves little.
    pack: (image, { quick }) =>
      image.png({ compressionLevel: quick ? 2 : 6, adaptiveFiltering: true }),
  },
  {
    title: 'JPEG',
    extensions: ['.jpg', '.jpeg'],
    alpha: false,
    longestSide: 65535,
    pack: (image, { quality }) => image.jpeg({ quality, chromaSubsampling: '4:4:4' }),
  },
  {
    title: 'WebP',
    extensions: ['.webp'],
    alpha: true,
    longestSide: 16383,
    pack: (image, { quality }) =>
      image.webp(quality === 100 ? { lossless: true } : { quality, smartSubsample: true }),
  },
  {
    title: 'TIFF',
    extensions: ['.tif', '.tiff'],
    alpha: true,
    longestSide: 2 ** 31 - 1,
    pack: (image) => image.tiff({ compression: 'deflate', predictor: 'horizontal' }),
  },
];

export function imageFormatOf(file: string): ImageFormat | undefined {
  const extension = extname(file).toLowerCase();
  return IMAGE_FORMATS.find(({ extensions }) => extensions.includes(extension));
}

/** The picture as a file's bytes, with an sRGB profile. */
export async function packImage(format: ImageFormat, picture: Picture): Promise<Buffer> {
  const { rgba, width, height } = picture;
  let image = sharp(rgba, { raw: { width, height, channels: 4 }, limitInputPixels: false });
  if (!picture.alpha || !format.alpha) image = image.removeAlpha();
  return format.pack(image.withIccProfile('srgb'), picture).toBuffer();
}
