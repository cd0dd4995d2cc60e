import { radians, TAU } from '../../../math.js';
import type { Ray } from '../../../projection/types.js';
import type { Edges } from './edges.js';

/** The sphere's sides, as seen from its middle, that vote apart: none may outvote the others. */
export const SECTORS = 24;

/** Heights above the horizon circle, in degrees, that are told apart. */
const BAND = 0.5;
const HIGHEST = 10;
const BANDS = (2 * HIGHEST) / BAND;
/** An edge is a few pixels thick. */
const THICK = [0.25, 0.75, 1, 0.75, 0.25] as const;
/** How much an edge may turn from the horizon's direction, in radians. */
const ASLANT = 0.12;
const STRAIGHT = 0.94;
/** A skyline lies near the horizon; a floor's edge or a roof need not. */
const LIKELY_HEIGHT = 1;
const HEIGHT_SPREAD = 8;

export const sectorsOf = ({ count, places }: Edges): Uint8Array =>
  Uint8Array.from({ length: count }, (_, i) => {
    const share = Math.atan2(places[3 * i]!, -places[3 * i + 2]!) / TAU + 0.5;
    return Math.min(SECTORS - 1, Math.floor(share * SECTORS));
  });

export interface Vote {
  /** How many edges run towards the zenith, as the sum over sectors of the root of each one's sum. */
  readonly vertical: number;
  /** Share of the way round, 0 to 1, along which an edge, darker below, follows a circle round the zenith. */
  readonly level: number;
  /** How high above the horizon, in degrees, that circle lies. */
  readonly height: number;
}

/**
 * What the edges say of a supposed zenith. Edges that are upright in the world lie on great circles
 * through it, so that the normals of those circles are square to it; those of a skyline have it as normal.
 * Source of the voting: Hough's transform (Duda, Hart, Communications of the ACM 15(1), 1972), on the
 * Gaussian sphere (Barnard, "Interpreting Perspective Images", Artificial Intelligence 21, 1983).
 */
export function createVoter(edges: Edges, pixelsAround: number) {
  const { count, places, normals, weights } = edges;
  const sectors = sectorsOf(edges);
  const vertical = new Float64Array(SECTORS);
  const level = new Float64Array(SECTORS * BANDS);
  const full = pixelsAround / SECTORS;
  const perRadian = 1 / radians(BAND);

  /** @param width of the vote for vertical edges, in radians */
  return ([x, y, z]: Ray, width: number, every = 1): Vote => {
    vertical.fill(0);
    level.fill(0);
    const most = 3 * width;
    for (let i = 0; i < count; i += every) {
      const n = 3 * i;
      const along = normals[n]! * x + normals[n + 1]! * y + normals[n + 2]! * z;
      if (along < most && along > -most) {
        const off = along / width;
        vertical[sectors[i]!]! += weights[i]! * Math.exp(-0.5 * off * off);
      } else if (along > STRAIGHT) {
        const up = places[n]! * x + places[n + 1]! * y + places[n + 2]! * z;
        const band = Math.floor(up * perRadian + BANDS / 2);
        if (band < 0 || band >= BANDS) continue;
        level[sectors[i]! * BANDS + band]! += weights[i]! * Math.exp(-(1 - along) / ASLANT ** 2);
      }
    }
    let roots = 0;
    for (const sum of vertical) roots += Math.sqrt(sum * every);
    return { vertical: roots, ...bestBand(level, full / every) };
  };
}

function bestBand(level: Float64Array, full: number): { level: number; height: number } {
  let best = { level: -1, height: 0, valued: -1 };
  for (let band = 2; band < BANDS - 2; band++) {
    const height = (band + 0.5) * BAND - HIGHEST;
    let sum = 0;
    for (let sector = 0; sector < SECTORS; sector++) {
      let value = 0;
      for (let j = -2; j <= 2; j++) value += THICK[j + 2]! * level[sector * BANDS + band + j]!;
      sum += Math.min(1, value / full);
    }
    const share = sum / SECTORS;
    const valued = share * Math.exp(-0.5 * ((height - LIKELY_HEIGHT) / HEIGHT_SPREAD) ** 2);
    if (valued > best.valued) best = { level: share, height, valued };
  }
  return best;
}
