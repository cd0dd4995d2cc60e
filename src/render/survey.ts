import type { Camera } from '../camera/types.js';
import { landingAt } from './resolution.js';

/**
 * What a frame shows, looked at on a grid: the frame is cut into blocks, and points lie at their corners,
 * centres and sides' middles, `2 * columns + 1` in a row, from the frame's top left.
 */
export interface Survey {
  /** Number of blocks across and down. */
  readonly columns: number;
  readonly rows: number;
  /** For each block the numbers of its nine points, row by row. */
  readonly points: readonly Nine[];
  /** Where on the master each point looks: 0 to 1 from its left and from its top. */
  readonly u: Float64Array;
  readonly v: Float64Array;
  /** 1 for points within the picture, 0 for those beyond its edge. */
  readonly inside: Uint8Array;
  /** For each block the frame's finest and coarsest resolution in it, in pixels a radian. */
  readonly finer: Float64Array;
  readonly coarser: Float64Array;
  /** How wide its narrowest and its widest pixel are, in radians: the width by which the shaders choose lookups. */
  readonly narrowest: Float64Array;
  readonly widest: Float64Array;
  /** How many times as far the direction turns in one half of a block as in the other, at most. */
  readonly unevenness: Float64Array;
}

/** What is known of a block's nine points, row by row. */
export type Nine = readonly [
  ...[number, number, number],
  ...[number, number, number],
  ...[number, number, number],
];

/** About the side of a block: pixels, but so many blocks at most along a frame's side. */
const BLOCK = 80;
const MOST_BLOCKS = 32;

export const blocksAlong = (side: number): number =>
  Math.min(MOST_BLOCKS, Math.max(1, Math.round(side / BLOCK)));

/** Surveys frames of one size. As long as the lens stays as it is, only its turning is worked out. */
export function createSurveyor(width: number, height: number): (camera: Camera) => Survey {
  const [columns, rows] = [blocksAlong(width), blocksAlong(height)];
  const count = (2 * columns + 1) * (2 * rows + 1);
  const [u, v] = [new Float64Array(count), new Float64Array(count)];
  const points = Array.from({ length: columns * rows }, (_, block) => pointsOf(columns, block));
  let key = '';
  let lens: LensSurvey | undefined;
  return (camera) => {
    const wanted = JSON.stringify([camera.lenses, camera.mix]);
    if (lens === undefined || key !== wanted) {
      lens = surveyLens(camera, width, height, columns, rows, points);
      key = wanted;
    }
    const { rays, ...rest } = lens;
    place(rays, camera.rotation, u, v);
    return { columns, rows, points, u, v, ...rest };
  };
}

/** A block's nine points, row by row, where `columns` blocks lie side by side. */
export function pointsOf(columns: number, block: number): Nine {
  const across = 2 * columns + 1;
  const one = 2 * Math.floor(block / columns) * across + 2 * (block % columns);
  const [two, three] = [one + across, one + 2 * across];
  return [one, one + 1, one + 2, two, two + 1, two + 2, three, three + 1, three + 2];
}

/** Blocks whose halves differ by less, and turn less against each other, in radians, say how wide all their pixels are. */
const STEADY = 1.5;
const STEADY_TURN = 0.25;
const ANY_WIDTH = [0, Number.MAX_VALUE];

/** What does not change when the camera turns. */
interface LensSurvey extends Omit<Survey, 'columns' | 'rows' | 'points' | 'u' | 'v'> {
  /** Three numbers a point, in camera space. */
  readonly rays: Float64Array;
}

function surveyLens(
  camera: Camera,
  width: number,
  height: number,
  columns: number,
  rows: number,
  points: readonly Nine[],
): LensSurvey {
  const across = 2 * columns + 1;
  const count = across * (2 * rows + 1);
  const rays = new Float64Array(3 * count);
  const inside = new Uint8Array(count);
  for (let point = 0; point < count; point++) {
    const x = (point % across) / columns - 1;
    const y = 1 - Math.floor(point / across) / rows;
    const landing = landingAt(camera, x, y);
    rays.set(landing.ray, 3 * point);
    inside[point] = landing.coverage === 1 ? 1 : 0;
  }
  const finer = new Float64Array(columns * rows);
  const coarser = new Float64Array(columns * rows);
  const narrowest = new Float64Array(columns * rows);
  const widest = new Float64Array(columns * rows);
  const unevenness = new Float64Array(columns * rows);
  for (let block = 0; block < columns * rows; block++) {
    const start = points[block]![0];
    const [w, h] = [width / columns / 2, height / rows / 2];
    const lines = [0, 1, 2].flatMap((i) => [
      turnAlong(rays, start + i * across, 1, w),
      turnAlong(rays, start + i, across, h),
    ]);
    finer[block] = 1 / Math.min(...lines.map(({ least }) => least));
    coarser[block] = 1 / Math.max(...lines.map(({ most }) => most));
    unevenness[block] = Math.max(...lines.map(({ ratio }) => ratio));
    const turning = Math.max(...lines.map(({ turning }) => turning));
    const isWhole = points[block]!.every((point) => inside[point] === 1);
    const tells = isWhole && turning < STEADY_TURN && unevenness[block]! < STEADY;
    const quarters = [0, 1, across, across + 1].map((at) => start + at);
    const widths = tells ? quarters.map((at) => widthOf(rays, at, across, w, h)) : ANY_WIDTH;
    const [least, most] = [Math.min(...widths), Math.max(...widths)];
    // The quarters' middles lie half as far from the block's edges as from each other.
    narrowest[block] = Math.max(0, least - (most - least) / 2);
    widest[block] = most + (most - least) / 2;
  }
  return { rays, inside, finer, coarser, narrowest, widest, unevenness };
}

/**
 * How far the direction turns from pixel to pixel, least and most, along three points `pixels` apart: on
 * the way from one to the next the mean is known, and how much it changes tells how far it strays.
 */
function turnAlong(rays: Float64Array, first: number, step: number, pixels: number) {
  const [a, b, c] = [3 * first, 3 * (first + step), 3 * (first + 2 * step)];
  const x1 = rays[b]! - rays[a]!;
  const y1 = rays[b + 1]! - rays[a + 1]!;
  const z1 = rays[b + 2]! - rays[a + 2]!;
  const x2 = rays[c]! - rays[b]!;
  const y2 = rays[c + 1]! - rays[b + 1]!;
  const z2 = rays[c + 2]! - rays[b + 2]!;
  const [one, two] = [length(x1, y1, z1), length(x2, y2, z2)];
  const stray = length(x2 - x1, y2 - y1, z2 - z1) / 2;
  return {
    least: Math.max(0, Math.min(one, two) - stray) / pixels,
    most: (Math.max(one, two) + stray) / pixels,
    ratio: Math.max(one, two) / Math.max(Math.min(one, two), 1e-9),
    turning: (2 * stray) / Math.max(one, two, 1e-9),
  };
}

/** A pixel's width in the quarter of a block from a point on: footprintWidth of shaders/common/view.glsl. */
function widthOf(rays: Float64Array, first: number, across: number, w: number, h: number): number {
  const [a, b] = [3 * first, 3 * (first + 1)];
  const [c, d] = [a + 3 * across, b + 3 * across];
  // From the middle of one side to that of the other.
  const right = (i: number) => (rays[b + i]! + rays[d + i]! - rays[a + i]! - rays[c + i]!) / 2 / w;
  const down = (i: number) => (rays[c + i]! + rays[d + i]! - rays[a + i]! - rays[b + i]!) / 2 / h;
  const [x1, y1, z1, x2, y2, z2] = [right(0), right(1), right(2), down(0), down(1), down(2)];
  const area = length(y1 * z2 - z1 * y2, z1 * x2 - x1 * z2, x1 * y2 - y1 * x2);
  return Math.max(Math.sqrt(area), length(x1, y1, z1) / 2, length(x2, y2, z2) / 2);
}

/** Several times as quick as Math.hypot, which minds numbers near the ends of their range. */
const length = (x: number, y: number, z: number): number => Math.sqrt(x * x + y * y + z * z);

function place(rays: Float64Array, m: Camera['rotation'], u: Float64Array, v: Float64Array): void {
  for (let point = 0, at = 0; point < u.length; point++, at += 3) {
    const [a, b, c] = [rays[at]!, rays[at + 1]!, rays[at + 2]!];
    const x = m[0]! * a + m[3]! * b + m[6]! * c;
    const y = m[1]! * a + m[4]! * b + m[7]! * c;
    const z = m[2]! * a + m[5]! * b + m[8]! * c;
    u[point] = 0.5 + Math.atan2(x, -z) / (2 * Math.PI);
    v[point] = 0.5 - Math.atan2(y, Math.sqrt(x * x + z * z)) / Math.PI;
  }
}
