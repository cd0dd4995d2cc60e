import { writeFile } from 'node:fs/promises';
import { InputError, type Problem } from '../errors.js';
import { diskError } from './disk.js';
import { IMAGE_FORMATS, type ImageFormat, imageFormatOf, packImage } from './imageformats.js';
import { fileProblems, openTarget } from './target.js';

export interface Still {
  /** Its extension chooses the format: .png, .jpg, .webp, .tif. */
  readonly file: string;
  /** `rgba` (or `rgba64le` where `depth` is 16) as types.ts says: straight alpha, rows from the top. */
  readonly rgba: Uint8Array;
  /** Bits of each sample: 8 by default; 16 for PNG and TIFF. */
  readonly depth?: 8 | 16;
  readonly width: number;
  readonly height: number;
  readonly overwrite: boolean;
  /** Keep the transparency; false by default. JPEG has none. */
  readonly alpha?: boolean;
  /** Adds to the written file before it gets its name, such as metadata. */
  readonly mark?: (temporary: string) => Promise<void>;
  /** 1 to 100 for JPEG and WebP, which is lossless at 100; 95 by default. */
  readonly quality?: number;
}

type Place = Pick<Still, 'file' | 'width' | 'height' | 'overwrite' | 'depth'>;

const QUALITY = 95;

/** Everything that keeps this still from being written, known before it is drawn. */
export async function stillProblems(still: Place): Promise<Problem[]> {
  const { file, width, height, overwrite, depth = 8 } = still;
  const format = imageFormatOf(file);
  if (!format) {
    const known = IMAGE_FORMATS.flatMap(({ extensions }) => extensions).join(', ');
    return [
      {
        place: file,
        path: '',
        message: `a still's name ends in one of ${known}, found ${ending(file)}.`,
      },
    ];
  }
  const problems = sideProblems(file, format, width, height);
  if (depth > format.depth) {
    const message = `${format.title} has ${format.depth} bits a sample: name a .png or .tif for 16.`;
    problems.push({ place: file, path: '', message });
  }
  return [...problems, ...(await fileProblems(file, overwrite))];
}

/** What `file` ends in, for messages. */
export const ending = (file: string): string => /\.[^./\\]*$/.exec(file)?.[0] ?? 'no extension';

export function sideProblems(
  file: string,
  { title, longestSide }: Pick<ImageFormat, 'title' | 'longestSide'>,
  width: number,
  height: number,
): Problem[] {
  if (Math.max(width, height) <= longestSide) return [];
  const message = `${title} takes sides up to ${longestSide} pixels, found ${width}x${height}.`;
  return [{ place: file, path: '', message }];
}

/**
 * Writes one picture under its name, at once and whole.
 *
 * @throws InputError with every problem of `stillProblems`; WorkError when the disk fails.
 */
export async function writeStill(still: Still): Promise<void> {
  const { file, rgba, width, height, overwrite, depth = 8, alpha = false } = still;
  const { quality = QUALITY } = still;
  const problems = await stillProblems(still);
  const format = imageFormatOf(file);
  if (problems.length > 0 || !format) throw new InputError(problems);
  const target = await openTarget(file, overwrite);
  try {
    const picture = { rgba, depth, width, height, alpha, quality };
    await writeFile(target.temporary, await packImage(format, picture));
    await still.mark?.(target.temporary);
  } catch (error) {
    await target.discard();
    throw diskError(error, file);
  }
  await target.commit();
}
