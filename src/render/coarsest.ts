import type { Camera } from '../camera/types.js';
import { type Quality, SAMPLING } from './quality.js';
import { createSurveyor } from './survey.js';

/** Halves of a block that differ more in how far the view turns say too little of what lies between. */
const STEADY = 2;

/**
 * The least lookups a radian that frames of these cameras take anywhere; 0, which is safe, where that
 * cannot be told: at the rim of a picture or a ball, where they may shrink the master without end.
 */
export function coarsestLookups(
  cameras: readonly Camera[],
  width: number,
  height: number,
  quality: Quality,
): number {
  const survey = createSurveyor(width, height);
  const coarsest = cameras.map((camera) => {
    if (camera.ball !== undefined) return 0;
    const { inside, coarser, unevenness } = survey(camera);
    if (inside.includes(0) || Math.max(...unevenness) > STEADY) return 0;
    return Math.min(...coarser.map((lookups, block) => lookups / unevenness[block]!));
  });
  return Math.min(...coarsest) * Math.max(1, SAMPLING[quality].samples);
}
