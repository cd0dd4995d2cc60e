import { type Coverage, patchSolidAngle } from './coverage.js';
import type { FormatName } from './format.js';
import { damaged, decode, type Photo } from './photo.js';

/** Samples of a picture: RGBA, 8 bits each, tightly packed, as coded (not converted by the profile). */
export interface Grid {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8Array;
  /** Pixels from one sample to the next. */
  readonly step: number;
  /** Whether the format blurs and flattens what it stores. */
  readonly lossy: boolean;
  /** Whether it has a palette, or no more colours than one: a sky then has areas of one colour. */
  readonly posterised: boolean;
  /** Steradians that one sample of each row stands for. */
  readonly solidAngles: Float64Array;
}

/** 0.09 degrees a sample of a whole sphere. */
const MOST_SAMPLES = { width: 4096, height: 2048 };

/** RGBA of a part of the picture, at its own size or thinned out to `to`, never averaged. */
export async function readSamples(
  photo: Photo,
  part: { left: number; top: number; width: number; height: number },
  to: { width: number; height: number } = part,
): Promise<Uint8Array> {
  // Code values are looked at, so a profile must not change them; CMYK has no RGB without one.
  const picture = decode(photo.source, { ignoreIcc: photo.colourSpace !== 'cmyk' });
  // Cutting first keeps the JPEG decoder from averaging while it reads.
  return picture
    .extract(part)
    .resize(to.width, to.height, { fit: 'fill', kernel: 'nearest' })
    .toColourspace('srgb')
    .ensureAlpha()
    .raw({ depth: 'uchar' })
    .toBuffer()
    .catch((error: unknown) => {
      throw damaged(photo.file, error);
    });
}

/** Reads samples of the whole picture, at most 4096 by 2048 of them. */
export async function readGrid(photo: Photo, coverage: Coverage): Promise<Grid> {
  const scale = Math.min(1, MOST_SAMPLES.width / photo.width, MOST_SAMPLES.height / photo.height);
  const width = Math.max(1, Math.round(photo.width * scale));
  const height = Math.max(1, Math.round(photo.height * scale));
  const whole = { left: 0, top: 0, width: photo.width, height: photo.height };
  const data = await readSamples(photo, whole, { width, height });
  const down = (coverage.top - coverage.bottom) / height;
  const across = (coverage.right - coverage.left) / width;
  const solidAngles = Float64Array.from({ length: height }, (_, row) =>
    patchSolidAngle(across, coverage.top - row * down, coverage.top - (row + 1) * down),
  );
  return {
    width,
    height,
    data,
    step: photo.width / width,
    lossy: LOSSY.includes(photo.format.name),
    posterised: photo.palette || hasFewColours(data),
    solidAngles,
  };
}

const LOSSY: readonly FormatName[] = ['jpeg', 'webp', 'avif', 'heic', 'mp4', 'mov', 'matroska'];

/** As many as GIF and palettes of PNG hold. */
const PALETTE = 256;

function hasFewColours(data: Uint8Array): boolean {
  const words = new Uint32Array(data.buffer, data.byteOffset, data.length / 4);
  const seen = new Set<number>();
  for (const word of words) if (seen.add(word).size > PALETTE) return false;
  return true;
}
