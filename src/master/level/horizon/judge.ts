import { clamp } from '../../../math.js';
import type { Ray } from '../../../projection/types.js';
import type { HorizonMethod } from '../types.js';
import type { Looks } from './look.js';
import { apart } from './skyline.js';

export interface Verdict {
  readonly zenith: Ray;
  /** 0 to 1: how likely it is within 1.5 degrees. */
  readonly confidence: number;
  readonly method: HorizonMethod;
  readonly reason: string;
}

/** Degrees: what an estimate is to be within, and what no error is believed to be below. */
const WITHIN = 1.5;
const LEAST_ERROR = 0.25;
/** Degrees: estimates so near each other confirm each other; farther apart they contradict each other. */
const AGREE = 1.5;
/** A confidence from which on an estimate is something to contradict. */
const SOME = 0.5;

interface Clue {
  readonly zenith: Ray;
  readonly error: number;
  readonly confidence: number;
}

const logistic = (x: number): number => 1 / (1 + Math.exp(-x));

/** Share of errors within WITHIN, of errors spread evenly in both directions with that standard error in all. */
const likelyWithin = (error: number): number =>
  1 - Math.exp(-((WITHIN / Math.max(LEAST_ERROR, error)) ** 2));

/** Where the votes for vertical edges begin to mean something; found on photographs, see the tests. */
function uprightClue({ verticals }: Looks): Clue | undefined {
  if (verticals === undefined) return undefined;
  const { zenith, error, ratio } = verticals;
  return { zenith, error, confidence: logistic((ratio - 1.25) / 0.025) * likelyWithin(error) };
}

const OPEN = 0.97;
const ROUGHEST = 4;
const NEAR_SKYLINE = 5;
const HIGHEST = 6;

/** How far a circle must lead all others: less the more the picture looks like sky above and ground below. */
const leastLead = (split: number): number => 1.23 + 0.3 * clamp((0.95 - split) / 0.05, 0, 1);

/** A circle that follows a smooth lower edge of an open sky, or stands out among all circles. */
function levelClue({ horizon, skyline }: Looks): Clue | undefined {
  if (horizon === undefined) return undefined;
  const { zenith, error, height, share, next } = horizon;
  if (Math.abs(height) > HIGHEST) return { zenith, error, confidence: 0 };
  const open =
    skyline.split >= OPEN &&
    skyline.rough < ROUGHEST &&
    apart(zenith, skyline.zenith) < NEAR_SKYLINE;
  const standsOut = Math.max(
    logistic((share / next - leastLead(skyline.split)) / 0.05),
    logistic((share - 0.45) / 0.03),
  );
  const enough = logistic((share - 0.15) / 0.02);
  const evidence = open ? Math.max(0.93, standsOut) : standsOut;
  return { zenith, error, confidence: enough * evidence * likelyWithin(error) };
}

const NOTHING = 'there are no edges to go by.';

/** Weighs both against each other. */
export function judge(looks: Looks): Verdict {
  const v = uprightClue(looks);
  const h = levelClue(looks);
  if (v === undefined || h === undefined) return single(v, h);
  const distance = apart(v.zenith, h.zenith);
  if (distance <= AGREE && Math.min(v.confidence, h.confidence) > 0.2) {
    return {
      zenith: between(v, h),
      confidence: 1 - (1 - v.confidence) * (1 - h.confidence),
      method: 'horizon and verticals',
      reason: `The horizon and vertical edges agree within ${distance.toFixed(1)} degrees.`,
    };
  }
  const one = single(v, h);
  if (one.confidence < SOME) {
    const reason = 'neither a horizon nor vertical edges stand out from the rest of the picture.';
    return { ...one, reason };
  }
  if (distance > AGREE && Math.min(v.confidence, h.confidence) > SOME) {
    return {
      ...one,
      confidence: one.confidence * 0.6,
      reason: `vertical edges and the horizon say different things, ${distance.toFixed(1)} degrees apart.`,
    };
  }
  return one;
}

function single(v: Clue | undefined, h: Clue | undefined): Verdict {
  if (v === undefined && h === undefined) {
    return {
      zenith: [0, 1, 0],
      confidence: 0,
      method: 'horizon',
      reason: NOTHING,
    };
  }
  if (h === undefined || (v !== undefined && v.confidence > h.confidence)) {
    return {
      ...v!,
      method: 'verticals',
      reason: 'Vertical edges run towards one point overhead.',
    };
  }
  return { ...h, method: 'horizon', reason: 'An edge goes round along one level.' };
}

/** The mean, weighed by how small the errors are. */
function between(a: Clue, b: Clue): Ray {
  const weigh = ({ error }: Clue) => 1 / Math.max(LEAST_ERROR, error) ** 2;
  const share = clamp(weigh(a) / (weigh(a) + weigh(b)), 0, 1);
  const sum = a.zenith.map((part, i) => share * part + (1 - share) * b.zenith[i]!);
  const length = Math.hypot(...sum);
  return sum.map((part) => part / length) as unknown as Ray;
}
