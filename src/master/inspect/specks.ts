import { isOpaque } from '../transparency.js';
import { WHOLE_SPHERE } from './coverage.js';
import type { Grid } from './grid.js';
import type { Photo } from './photo.js';

/** Of what is not wholly opaque, what lies in no hole: pixels here and there, or those half seen through. */
export interface Specks {
  /** Steradians. */
  readonly solidAngle: number;
  /** Of the whole sphere. */
  readonly percent: number;
}

/**
 * @param mask one byte a sample of the grid: 1 in a hole
 * @returns undefined where there is none; its solid angle is 0 where all of it lies between the samples
 */
export async function findSpecks(
  photo: Photo,
  { width, data, solidAngles, step }: Grid,
  mask: Uint8Array,
): Promise<Specks | undefined> {
  let [count, solidAngle] = [0, 0];
  for (let i = 0; i < mask.length; i++) {
    if (mask[i] === 1 || data[4 * i + 3] === 255) continue;
    count++;
    solidAngle += solidAngles[Math.floor(i / width)]!;
  }
  // Where there are as many samples as pixels, all have been looked at; a video's frame is opaque.
  const between = count === 0 && step > 1 && !mask.includes(1) && !(await opaque(photo));
  if (count === 0 && !between) return undefined;
  return { solidAngle, percent: (100 * solidAngle) / WHOLE_SPHERE };
}

const opaque = async ({ file, format }: Photo): Promise<boolean> =>
  format.kind === 'video' || isOpaque(file);
