import { cross } from '../camera/aim.js';
import type { Camera } from '../camera/types.js';
import type { Ray } from '../projection/types.js';
import { type Quality, SAMPLING, texelsBeforeShrinking } from './quality.js';
import { angle, distance, landingAt, turned } from './resolution.js';
import { pointsOf } from './survey.js';

/** What frames look up of a master of any size, part by part. */
export interface Seen {
  readonly parts: readonly SeenPart[];
}

/** All that a block of a frame looks up, rather too much than too little. */
export interface SeenPart {
  /** Lookups a radian. */
  readonly least: number;
  readonly most: number;
  /** Radians from the master's top. */
  readonly top: number;
  readonly bottom: number;
  /** Radians from the master's left edge, 0 to 2π, and how far on to the right: 2π for all round. */
  readonly left: number;
  readonly across: number;
}

/** About the side of a block, in pixels; and so many blocks at least and at most along a frame's side. */
const BLOCK = 80;
const [FEWEST, MOST] = [8, 32];
const blocksAlong = (side: number): number =>
  Math.min(MOST, Math.max(FEWEST, Math.round(side / BLOCK)));

/** Halves of a block that differ more in how far the view turns say too little of what lies between. */
const STEADY = 2;
/** By so much a block may reach farther from its centre than its corners and its sides' middles. */
const BEYOND = 1.25;
/** Radians; wider blocks say too little as well. */
const WIDEST = 0.8;

/**
 * What frames of these cameras, which make one exposure, look up. Undefined where that cannot be told: at the
 * rim of a picture or a ball, where they may shrink the master without end, or see what lies behind it.
 */
export function seenOf(
  cameras: readonly Camera[],
  width: number,
  height: number,
  quality: Quality,
): Seen | undefined {
  const sampling = SAMPLING[quality];
  const samples = cameras.length === 1 ? sampling.samples : sampling.samplesInMotion;
  const [columns, rows] = [blocksAlong(width), blocksAlong(height)];
  const parts: SeenPart[] = [];
  for (const camera of cameras) {
    const rays = camera.ball === undefined ? raysOf(camera, columns, rows) : undefined;
    if (rays === undefined) return undefined;
    for (let block = 0; block < columns * rows; block++) {
      const points = pointsOf(columns, block).map((at) => rays[at]!);
      const turns = turnsOf(points, width / columns / 2, height / rows / 2);
      const reach = BEYOND * Math.max(...points.map((point) => angle(points[4]!, point)));
      if (turns.unevenness > STEADY || !(reach < WIDEST)) return undefined;
      const { least, most } = lookups(turns, samples, cameras.length);
      parts.push({ least, most, ...capOf(points[4]!, reach) });
    }
  }
  return { parts };
}

/** What several frames look up together. */
export const seenTogether = (all: readonly (Seen | undefined)[]): Seen | undefined =>
  all.includes(undefined) ? undefined : { parts: all.flatMap((seen) => seen!.parts) };

/** World directions at the blocks' points, row by row; undefined where one lies beyond the picture. */
function raysOf(camera: Camera, columns: number, rows: number): Ray[] | undefined {
  const across = 2 * columns + 1;
  const rays: Ray[] = [];
  for (let point = 0; point < across * (2 * rows + 1); point++) {
    const x = (point % across) / columns - 1;
    const y = 1 - Math.floor(point / across) / rows;
    const { ray, coverage } = landingAt(camera, x, y);
    if (coverage !== 1) return undefined;
    rays.push(turned(camera, ray));
  }
  return rays;
}

interface Turns {
  /** How far a pixel is wide, in radians, as shaders/common/view.glsl's footprintWidth has it. */
  readonly narrowest: number;
  readonly widest: number;
  /** How many times as far the direction turns in one half of the block as in the other, at most. */
  readonly unevenness: number;
}

function turnsOf(points: readonly Ray[], across: number, down: number): Turns {
  let [narrowest, widest, unevenness] = [Number.POSITIVE_INFINITY, 0, 1];
  const ratio = (a: Ray, b: Ray, c: Ray) => {
    const [one, two] = [distance(a, b), distance(b, c)];
    return Math.max(one, two) / Math.max(1e-9, Math.min(one, two));
  };
  for (let i = 0; i < 3; i++) {
    const [row, column] = [points.slice(3 * i, 3 * i + 3), [0, 3, 6].map((at) => points[at + i]!)];
    for (const [a, b, c] of [row, column]) {
      unevenness = Math.max(unevenness, ratio(a!, b!, c!));
    }
  }
  for (const at of [0, 1, 3, 4]) {
    for (const corner of [at, at + 4]) {
      const here = points[corner]!;
      const side = corner === at ? 1 : -1;
      const right = away(here, points[corner + side]!, across);
      const below = away(here, points[corner + 3 * side]!, down);
      const area = Math.hypot(...cross(right, below));
      const longest = Math.max(Math.hypot(...right), Math.hypot(...below));
      const wide = Math.max(Math.sqrt(area), longest / 2);
      narrowest = Math.min(narrowest, wide);
      widest = Math.max(widest, wide);
    }
  }
  return { narrowest, widest, unevenness };
}

/** Lookups a radian: what shaders/common/view.glsl's reachOf leaves between two, turned over. */
function lookups(
  { narrowest, widest, unevenness }: Turns,
  samples: number,
  exposures: number,
): Pick<SeenPart, 'least' | 'most'> {
  // Halves tell what their middles have; the block's corners lie half as far beyond.
  const beyond = unevenness ** 0.75;
  const least = Math.max(1, samples) / (widest * beyond);
  // As many as the footprint asks for.
  if (samples === 0) return { least, most: Number.POSITIVE_INFINITY };
  const most = (texelsBeforeShrinking(samples, exposures) * beyond) / narrowest;
  return { least, most };
}

/** Latitudes and longitudes within `reach` radians of a direction. */
function capOf([x, y, z]: Ray, reach: number): Omit<SeenPart, 'least' | 'most'> {
  const down = Math.acos(Math.max(-1, Math.min(1, y)));
  const [top, bottom] = [Math.max(0, down - reach), Math.min(Math.PI, down + reach)];
  if (top === 0 || bottom === Math.PI) return { top, bottom, left: 0, across: 2 * Math.PI };
  const side = Math.asin(Math.min(1, Math.sin(reach) / Math.sin(down)));
  const left = (Math.PI + Math.atan2(x, -z) - side + 2 * Math.PI) % (2 * Math.PI);
  return { top, bottom, left, across: 2 * side };
}

/** How far the direction changes from pixel to pixel, between two places that many apart. */
const away = (a: Ray, b: Ray, pixels: number): Ray =>
  [0, 1, 2].map((i) => (b[i]! - a[i]!) / pixels) as unknown as Ray;
