import { extname } from 'node:path';
import sharp, { type Sharp } from 'sharp';

export interface Picture {
  /** RGBA, sRGB-encoded, straight alpha, rows from the top: a byte each, or 16 bits little-endian. */
  readonly rgba: Uint8Array;
  /** Bits of each sample, in `rgba` and in the file; 16 only where the format has them. */
  readonly depth: 8 | 16;
  readonly width: number;
  readonly height: number;
  /** Keep the alpha channel, where the format has one. */
  readonly alpha: boolean;
  /** 1 to 100, for the lossy formats; WebP is lossless at 100. */
  readonly quality: number;
}

export interface ImageFormat {
  readonly title: string;
  readonly extensions: readonly string[];
  readonly alpha: boolean;
  /** Most bits of a sample. */
  readonly depth: 8 | 16;
  /** Pixels. */
  readonly longestSide: number;
  pack(image: Sharp, picture: Picture): Sharp;
  /** Says of a 16-bit file that it is sRGB, where the format can. */
  tag16?(file: Buffer): Buffer;
}

/** PNG's sRGB chunk, perceptual intent (PNG specification, 11.3.2.5): length, type, intent, CRC. */
const SRGB_CHUNK = Buffer.from('000000017352474200aece1ce9', 'hex');
/** The signature and the header chunk, which comes first. */
const PNG_HEADER = 33;

export const IMAGE_FORMATS: readonly ImageFormat[] = [
  {
    title: 'PNG',
    extensions: ['.png'],
    alpha: true,
    depth: 16,
    longestSide: 2 ** 31 - 1,
    // Filters cost a third more time than none and save a quarter of the bytes; zlib above 2 saves little.
    pack: (image) => image.png({ compressionLevel: 2, adaptiveFiltering: true }),
    tag16: (file) =>
      Buffer.concat([file.subarray(0, PNG_HEADER), SRGB_CHUNK, file.subarray(PNG_HEADER)]),
  },
  {
    title: 'JPEG',
    extensions: ['.jpg', '.jpeg'],
    alpha: false,
    depth: 8,
    longestSide: 65535,
    pack: (image, { quality }) => image.jpeg({ quality, chromaSubsampling: '4:4:4' }),
  },
  {
    title: 'WebP',
    extensions: ['.webp'],
    alpha: true,
    depth: 8,
    longestSide: 16383,
    pack: (image, { quality }) =>
      image.webp(quality === 100 ? { lossless: true } : { quality, smartSubsample: true }),
  },
  {
    title: 'TIFF',
    extensions: ['.tif', '.tiff'],
    alpha: true,
    depth: 16,
    longestSide: 2 ** 31 - 1,
    pack: (image) => image.tiff({ compression: 'deflate', predictor: 'horizontal' }),
  },
];

export function imageFormatOf(file: string): ImageFormat | undefined {
  const extension = extname(file).toLowerCase();
  return IMAGE_FORMATS.find(({ extensions }) => extensions.includes(extension));
}

/**
 * The picture as a file's bytes, with an sRGB profile; without one where samples have 16 bits, because
 * libvips would convert to its compact profile, whose curve is coarse there (0 becomes 2113).
 */
export async function packImage(format: ImageFormat, picture: Picture): Promise<Buffer> {
  const { width, height, depth } = picture;
  const samples = depth === 16 ? wordsOf(picture.rgba) : picture.rgba;
  let image = sharp(samples, { raw: { width, height, channels: 4 }, limitInputPixels: false });
  if (!picture.alpha || !format.alpha) image = image.removeAlpha();
  if (depth === 8) return format.pack(image.withIccProfile('srgb'), picture).toBuffer();
  const file = await format.pack(image.toColourspace('rgb16'), picture).toBuffer();
  return format.tag16?.(file) ?? file;
}

/** The same memory as 16-bit numbers, as every machine that we run on keeps them. */
function wordsOf(bytes: Uint8Array): Uint16Array {
  const aligned = bytes.byteOffset % 2 === 0 ? bytes : Uint8Array.from(bytes);
  return new Uint16Array(aligned.buffer, aligned.byteOffset, aligned.length / 2);
}
