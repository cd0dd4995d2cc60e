import { radians } from '../../math.js';
import {
  type Crop,
  cropProblems,
  type GPano,
  isWholeSphere,
  rescaledCrop,
  type Size,
  statedCrop,
} from '../mark/gpano.js';

/** The part of the sphere that a picture covers, its edges in degrees. */
export interface Coverage {
  /** Known from the metadata, from the 2:1 shape, or only supposed. */
  readonly basis: 'metadata' | 'shape' | 'supposed';
  /** Longitudes, -180 to 180. */
  readonly left: number;
  readonly right: number;
  /** Latitudes, 90 to -90. */
  readonly top: number;
  readonly bottom: number;
  /** Steradians; the whole sphere has 4 pi. */
  readonly solidAngle: number;
  /** Of the whole sphere. */
  readonly percent: number;
}

export const WHOLE_SPHERE = 4 * Math.PI;

/** Steradians between two longitudes and two latitudes in degrees. */
export function patchSolidAngle(width: number, top: number, bottom: number): number {
  return radians(width) * (Math.sin(radians(top)) - Math.sin(radians(bottom)));
}

function covering(
  basis: Coverage['basis'],
  edges: Pick<Coverage, 'left' | 'right' | 'top' | 'bottom'>,
): Coverage {
  const solidAngle = patchSolidAngle(edges.right - edges.left, edges.top, edges.bottom);
  return { basis, ...edges, solidAngle, percent: (100 * solidAngle) / WHOLE_SPHERE };
}

function fromCrop(crop: Crop): Coverage {
  const longitude = (column: number) => (column / crop.fullWidth) * 360 - 180;
  const latitude = (row: number) => 90 - (row / crop.fullHeight) * 180;
  return covering('metadata', {
    left: longitude(crop.left),
    right: longitude(crop.left + crop.width),
    top: latitude(crop.top),
    bottom: latitude(crop.top + crop.height),
  });
}

/**
 * Which part of the sphere a picture of this size covers. Without metadata that are right for it,
 * a 2:1 picture is the whole sphere, a wider one is supposed to go all round with the horizon in
 * the middle, and a higher one from the zenith to the nadir.
 */
export function coverageOf(picture: Size, gpano: GPano): Coverage {
  const stated = statedCrop(gpano);
  if (stated !== undefined) {
    const right = cropProblems(stated, picture).length === 0;
    const crop = right ? stated : rescaledCrop(stated, picture);
    if (crop !== undefined) return fromCrop(crop);
  }
  if (isWholeSphere(picture)) {
    return covering('shape', { left: -180, right: 180, top: 90, bottom: -90 });
  }
  const aspect = picture.width / picture.height;
  const across = Math.min(360, 180 * aspect);
  const high = Math.min(180, 360 / aspect);
  return covering('supposed', {
    left: -across / 2,
    right: across / 2,
    top: high / 2,
    bottom: -high / 2,
  });
}

/** Within a hundredth of a degree: a pixel of a master that is 36,000 wide. */
const NEAR = 0.01;

export const goesAllRound = ({ left, right }: Coverage): boolean => right - left >= 360 - NEAR;
export const reachesZenith = ({ top }: Coverage): boolean => top >= 90 - NEAR;
export const reachesNadir = ({ bottom }: Coverage): boolean => bottom <= -90 + NEAR;
export const isWhole = (coverage: Coverage): boolean =>
  goesAllRound(coverage) && reachesZenith(coverage) && reachesNadir(coverage);
