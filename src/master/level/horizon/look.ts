import type { Ray } from '../../../projection/types.js';
import type { Pixels } from '../../pixels.js';
import { findEdges } from './edges.js';
import { lumaOf } from './plane.js';
import { type Refined, refine } from './refine.js';
import { apart, findSkyline, rayTilted, type Skyline } from './skyline.js';
import { createVoter, type Vote } from './votes.js';

/** What a picture's edges and its sky say of the zenith. */
export interface Looks {
  readonly verticals?: Refined & {
    /** The votes for it over those for most directions: 1 says nothing. */
    readonly ratio: number;
  };
  readonly horizon?: Refined & {
    /** Share of the way round along which there is such an edge. */
    readonly share: number;
    /** That of the best circle elsewhere. */
    readonly next: number;
  };
  readonly skyline: Skyline;
}

/** Degrees: how far a master may lean to be levelled by its looks, and how finely zeniths are tried. */
const FARTHEST = 27;
const STEP = 1.5;
/** Peaks nearer than this are one. */
const NEAR = 3.5;
/** Radians. */
const WIDTH = 0.03;
const EVERY = 2;

interface Tried {
  readonly zenith: Ray;
  readonly vote: Vote;
}

/**
 * Tries all zeniths that a leaning camera may have had.
 *
 * @param reach degrees from the picture's own zenith beyond which none is chosen
 */
export function lookAt(pixels: Pixels, reach: number): Looks {
  const edges = findEdges(lumaOf(pixels));
  const vote = createVoter(edges, pixels.width);
  const tried = candidates().map((zenith): Tried => ({ zenith, vote: vote(zenith, WIDTH, EVERY) }));
  const within = tried.filter(({ zenith }) => apart(zenith, UP) <= reach);
  const skyline = findSkyline(pixels);

  const upright = best(within, (v) => v.vertical);
  const verticals = refine(edges, 'vertical', upright.zenith, 0);
  const usual = median(tried.map((one) => one.vote.vertical));

  const belowSky = skyline.split >= OPEN ? within.filter(nearTo(skyline.zenith)) : [];
  const level = best(belowSky.length > 0 ? belowSky : within, (v) => v.level);
  const elsewhere = tried.filter(({ zenith }) => apart(zenith, level.zenith) > NEAR);
  const horizon = refine(edges, 'level', level.zenith, level.vote.height);
  return {
    skyline,
    ...(verticals && {
      verticals: {
        ...verticals,
        ratio:
          Math.max(upright.vote.vertical, vote(verticals.zenith, WIDTH, EVERY).vertical) / usual,
      },
    }),
    ...(horizon && {
      horizon: {
        ...horizon,
        // The zeniths tried lie beside the best one, more or less.
        share: Math.max(level.vote.level, vote(horizon.zenith, WIDTH, EVERY).level),
        next: best(elsewhere, (v) => v.level).vote.level,
      },
    }),
  };
}

/** From this split on there is an open sky, whose edge a horizon lies near. */
export const OPEN = 0.95;
const NEAR_SKYLINE = 8;
const UP: Ray = [0, 1, 0];

const nearTo =
  (zenith: Ray) =>
  (one: Tried): boolean =>
    apart(one.zenith, zenith) <= NEAR_SKYLINE;

function candidates(): Ray[] {
  const rays: Ray[] = [UP];
  for (let tilt = STEP; tilt <= FARTHEST; tilt += STEP) {
    const count = Math.round((2 * Math.PI * tilt) / STEP);
    for (let k = 0; k < count; k++) rays.push(rayTilted(tilt, (k / count) * 360 - 180));
  }
  return rays;
}

const best = (tried: readonly Tried[], value: (vote: Vote) => number): Tried =>
  tried.reduce((top, one) => (value(one.vote) > value(top.vote) ? one : top));

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[values.length >> 1]!;
}
