import sharp from 'sharp';
import type { Raster } from './types.js';

/** Why a picture will not do as an overlay, to go on after its name. */
export class UnfitImage extends Error {}

/** More than this is no mark any more. */
const MOST_PIXELS = 100e6;

/** Dots an inch at which an SVG file's pixels are its own units. */
const SVG_DENSITY = 72;
const DENSITIES = [1, 2400] as const;

const open = (file: string, density?: number) =>
  sharp(file, { limitInputPixels: MOST_PIXELS, ...(density === undefined ? {} : { density }) });

/**
 * Reads a picture so that it is `width` pixels wide; drawings (SVG) are drawn at that size, all others
 * resized in linear light.
 *
 * @throws UnfitImage when it cannot be read
 */
export async function imageRaster(file: string, width: number): Promise<Raster> {
  try {
    const facts = await open(file).metadata();
    const density =
      facts.format === 'svg'
        ? Math.min(DENSITIES[1], Math.max(DENSITIES[0], (SVG_DENSITY * width) / facts.width))
        : undefined;
    const { data, info } = await open(file, density)
      .autoOrient()
      .pipelineColourspace('scrgb')
      .resize({ width: Math.max(1, Math.round(width)) })
      .toColourspace('srgb')
      .ensureAlpha()
      .raw({ depth: 'uchar' })
      .toBuffer({ resolveWithObject: true });
    return { rgba: data, width: info.width, height: info.height };
  } catch (error) {
    throw new UnfitImage(reasonOf(error as Error));
  }
}

/** Whether it can be read at all. @throws UnfitImage */
export async function checkImage(file: string): Promise<void> {
  await imageRaster(file, 16);
}

function reasonOf({ message }: Error): string {
  if (/missing/iu.test(message)) return 'there is no such file';
  if (/unsupported image format|unknown/iu.test(message)) return 'is no picture that can be read';
  return `cannot be read (${message.split('\n')[0]})`;
}
