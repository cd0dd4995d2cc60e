import { orientationOf, rotationMatrix } from '../../camera/orientation.js';
import type { Orientation } from '../../camera/types.js';
import type { Ray } from '../../projection/types.js';
import { type Pixels, pixels as pixelsOf } from '../pixels.js';
import { judge, type Verdict } from './horizon/judge.js';
import { lookAt } from './horizon/look.js';
import { shrink } from './horizon/shrink.js';
import { apart, towards } from './horizon/skyline.js';
import { resampleRows } from './resample.js';
import { compose, leanOf, upright } from './turn.js';
import type { HorizonEstimate, HorizonMethod } from './types.js';

/** From this confidence on a master is turned by its looks. */
export const SURE = 0.75;
/**
 * Below this lean, in degrees, a master counts as level: about how well each method repeats itself, so that a
 * master once levelled is left alone the next time.
 */
export const LEVEL: Readonly<Record<HorizonMethod, number>> = {
  horizon: 0.5,
  verticals: 1,
  'horizon and verticals': 0.5,
};

/** Pixels across at which a picture is looked at. */
export const LOOKED_AT = 512;
/** Degrees: how far the camera may have leaned, and how far from the first estimate the second may lie. */
const REACH = 27;
const SECOND_REACH = 7;
const MOST_MOVED = 4;
const MOST_APART = 1.2;
/** Degrees about the vertical, so that nothing lies on the same texels again. */
const THIRD_YAW = 47.3;

/**
 * How the camera stood, from the picture alone: from vertical edges, which run towards the zenith, and from
 * the horizon, an edge that goes round it, darker below and close to the lower edge of the sky. What was
 * found is levelled and looked at twice more, so that the same picture gives the same answer however it leans.
 *
 * @param pixels a whole sphere; at least 128 pixels wide
 */
export function estimateHorizon(pixels: Pixels): HorizonEstimate {
  const small = shrink(pixels, LOOKED_AT);
  const first = judge(lookAt(small, REACH));
  const second = lookAgain(small, first.zenith, 0);
  const third = lookAgain(small, second.zenith, THIRD_YAW);
  return estimateOf(combined(first, second, third));
}

/** Looks at the picture as it is when levelled by that zenith and turned about it; the answer is of the picture itself. */
function lookAgain(pixels: Pixels, zenith: Ray, yaw: number): Verdict {
  const levelled = turned(pixels, compose(upright(leanOf(zenith)), orientationOf(yaw, 0, 0)));
  const verdict = judge(lookAt(levelled.pixels, SECOND_REACH));
  return { ...verdict, zenith: levelled.back(verdict.zenith) };
}

/** The later looks are the better ones, but not where they contradict the first or each other. */
function combined(first: Verdict, second: Verdict, third: Verdict): Verdict {
  const zenith = middle(second.zenith, third.zenith);
  const likely = Math.min(second.confidence, third.confidence);
  const differ = apart(second.zenith, third.zenith);
  if (differ <= MOST_APART && apart(first.zenith, zenith) <= MOST_MOVED) {
    return { ...second, zenith, confidence: likely };
  }
  return {
    ...second,
    zenith,
    confidence: likely / 2,
    reason: second.confidence < SURE ? second.reason : CHANGING,
  };
}

const CHANGING = 'the answer changes with how the picture is looked at.';

function middle(a: Ray, b: Ray): Ray {
  const sum = a.map((part, c) => part + b[c]!);
  const length = Math.hypot(...sum);
  return sum.map((part) => part / length) as unknown as Ray;
}

function turned(pixels: Pixels, turn: Orientation) {
  const { width, height } = pixels;
  const rotation = rotationMatrix(turn);
  const data = pixels.data.slice();
  resampleRows(pixels, rotation, 0, height, data);
  const [a, b, c, d, e, f, g, h, i] = rotation as [...Triple, ...Triple, ...Triple];
  return {
    pixels: pixelsOf(width, height, data),
    back: ([x, y, z]: Ray): Ray => [
      a * x + d * y + g * z,
      b * x + e * y + h * z,
      c * x + f * y + i * z,
    ],
  };
}

type Triple = [number, number, number];

function estimateOf({ zenith, confidence, method, reason }: Verdict): HorizonEstimate {
  const { longitude, latitude } = towards(zenith);
  const sure = confidence >= SURE;
  return {
    ...leanOf(zenith),
    tilt: 90 - latitude,
    axis: longitude,
    confidence,
    sure,
    method,
    reason: sure ? reason : `Unsure: ${reason[0]!.toLowerCase()}${reason.slice(1)}`,
  };
}
