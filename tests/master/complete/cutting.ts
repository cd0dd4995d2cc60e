import { join } from 'node:path';
import { type CompleteOptions, completeMaster } from '../../../src/master/complete.js';
import { valley } from '../../support/valley.js';
import { changedPixels, colourError, naive, rimRatio, seamStep } from './measure.js';
import { type Cut, holeOf, type Photo, photo, readPhoto, turnedPhoto, writeCut } from './photos.js';

export const cap = (radius: number): Cut => ({ longitude: 0, latitude: 90, radius });
export const foot = (radius: number): Cut => ({ longitude: 0, latitude: -90, radius });

/** What is cut out of every photograph: two caps, two feet, three discs. */
export const CUTS = {
  cap30: cap(30),
  cap45: cap(45),
  foot30: foot(30),
  foot45: foot(45),
  side: { longitude: 60, latitude: 0, radius: 25 },
  high: { longitude: 180, latitude: 40, radius: 25 },
  low: { longitude: -60, latitude: -30, radius: 25 },
} as const satisfies Record<string, Cut>;

/** A polar cut ends where its last row does. */
function rimOf(cut: Cut, height: number): Cut {
  if (Math.abs(cut.latitude) < 90) return cut;
  return { ...cut, radius: (Math.round((cut.radius / 180) * height) / height) * 180 };
}

const wholes = new Map<string, Promise<Photo>>();

/** A photograph by its name; `valley` is the demo master, drawn at 2048 pixels across. */
function wholeOf(name: string): Promise<Photo> {
  let whole = wholes.get(name);
  if (whole === undefined) {
    whole =
      name === 'valley'
        ? valley(2048).then(({ width, height, data }) => ({
            width,
            height,
            rgb: Uint8Array.from(data),
          }))
        : photo(name).then(turnedPhoto);
    wholes.set(name, whole);
  }
  return whole;
}

export interface Measures {
  readonly rim: number;
  readonly naiveRim: number;
  /** Of the photograph before it was cut. */
  readonly wholeRim: number;
  readonly colour: ReturnType<typeof colourError>;
  readonly naiveColour: ReturnType<typeof colourError>;
  readonly seam: ReturnType<typeof seamStep>;
  readonly changed: number;
  /** The photograph, what was completed, and the flat fill. */
  readonly views: readonly [whole: Photo, found: Photo, flat: Photo];
}

/** Cuts a known part out of a real photograph, completes it in `folder`, and measures. */
export async function cutAndMeasure(
  folder: string,
  name: string,
  cut: Cut,
  fill: NonNullable<CompleteOptions['fill']>,
): Promise<Measures> {
  const whole = await wholeOf(name);
  const hole = holeOf(whole, cut);
  const input = join(folder, 'cut.png');
  const output = join(folder, 'whole.png');
  await writeCut(input, whole, hole);
  await completeMaster({ input, output, overwrite: true, fill });
  const found = await readPhoto(output);
  const flat = naive(whole, hole, cut);
  const rim = rimOf(cut, whole.height);
  return {
    rim: rimRatio(found, rim),
    naiveRim: rimRatio(flat, rim),
    wholeRim: rimRatio(whole, rim),
    colour: colourError(found, whole, hole),
    naiveColour: colourError(flat, whole, hole),
    seam: seamStep(found, hole),
    changed: changedPixels(found, whole, hole),
    views: [whole, found, flat],
  };
}
