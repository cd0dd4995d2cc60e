import { HALF_PI, TAU } from '../../../math.js';
import type { Plane } from './plane.js';

/**
 * The picture's edges: where each lies, the normal of the great circle along it, and its weight. Three
 * numbers a place and a normal.
 */
export interface Edges {
  readonly count: number;
  readonly places: Float32Array;
  readonly normals: Float32Array;
  /** 0 to 1, times the solid angle that the pixel stands for, in pixels at the equator. */
  readonly weights: Float32Array;
}

/**
 * Five-tap smoothing and differentiation that agree on an edge's direction whichever way it runs.
 * Source: Farid, Simoncelli, "Differentiation of Discrete Multidimensional Signals", IEEE Transactions on
 * Image Processing 13(4), 2004, table I (from memory; a test holds them to the directions of known edges).
 */
const SMOOTH = [0.037659, 0.249153, 0.426375, 0.249153, 0.037659] as const;
const DIFFER = [0.109604, 0.276691, 0, -0.276691, -0.109604] as const;
const HALF = 2;

/** Beyond this latitude a row's texels are too narrow to tell directions by. */
const HIGHEST = (70 * Math.PI) / 180;
/** Share of the sphere's pixels, the strongest, that count as edges. */
const SHARE = 0.2;
/** Half a code of 8 bits a texel: less is rounding. */
const LEAST = 0.002;

/** The strongest edges of a plane of the whole sphere. */
export function findEdges(plane: Plane): Edges {
  const { width, height } = plane;
  const { east, north } = gradients(plane);
  const strength = new Float32Array(width * height);
  const first = Math.max(HALF, Math.floor((HALF_PI - HIGHEST) * (height / Math.PI)));
  for (let i = first * width; i < (height - first) * width; i++) {
    strength[i] = Math.hypot(east[i]!, north[i]!);
  }
  const least = Math.max(LEAST, quantile(strength, 1 - SHARE));
  const strong = quantile(strength, 1 - SHARE / 4);
  let count = 0;
  for (const value of strength) if (value > least) count++;
  const edges = {
    count,
    places: new Float32Array(3 * count),
    normals: new Float32Array(3 * count),
    weights: new Float32Array(count),
  };
  for (let y = first, n = 0; y < height - first; y++) {
    const latitude = (0.5 - (y + 0.5) / height) * Math.PI;
    const [sin, cos] = [Math.sin(latitude), Math.cos(latitude)];
    for (let x = 0; x < width; x++) {
      const i = y * width + x;
      const size = strength[i]!;
      if (!(size > least)) continue;
      const longitude = ((x + 0.5) / width - 0.5) * TAU;
      const [s, c] = [Math.sin(longitude), Math.cos(longitude)];
      const [e, u] = [east[i]! / size, north[i]! / size];
      edges.places.set([cos * s, sin, -cos * c], 3 * n);
      edges.normals.set([e * c - u * sin * s, u * cos, e * s + u * sin * c], 3 * n);
      edges.weights[n++] = cos * Math.min(1, size / strong);
    }
  }
  return edges;
}

/** The plane's change to the east and to the north, for each texel's height of angle. */
function gradients(plane: Plane) {
  const { width, height } = plane;
  const data = evenly(plane);
  const smooth = alongRows(data, width, height, SMOOTH);
  const differ = alongRows(data, width, height, DIFFER);
  const east = downColumns(differ, width, height, SMOOTH);
  const north = downColumns(smooth, width, height, DIFFER);
  for (let y = 0; y < height; y++) {
    const cos = Math.cos((0.5 - (y + 0.5) / height) * Math.PI);
    for (let x = 0; x < width; x++) east[y * width + x]! /= -cos;
  }
  return { east, north };
}

/** Twelve times the variance of SMOOTH, in texels squared: a box so wide, squared, smooths as much. */
const SPREAD = 12 * 2 * (SMOOTH[1] + 4 * SMOOTH[0]);

/** Share of that: all of it would also take away the thin upright things, trunks and poles, high up. */
const SOFTENED = 0.35;

/**
 * Rows smoothed the more they are stretched, towards what makes the taps reach as far over the sphere to the east
 * as to the north: without it, grain would seem to run towards the picture's poles.
 */
function evenly({ width, height, data }: Plane): Float32Array {
  const out = new Float32Array(data.length);
  for (let y = 0; y < height; y++) {
    const latitude = (0.5 - (y + 0.5) / height) * Math.PI;
    // Beyond HIGHEST no edges are looked for.
    const stretch = Math.abs(Math.tan(Math.min(HIGHEST, Math.abs(latitude))));
    const box = Math.max(1, SOFTENED * Math.sqrt(SPREAD) * stretch);
    const whole = Math.floor((box - 1) / 2);
    const part = (box - 1) / 2 - whole;
    const row = y * width;
    for (let x = 0; x < width; x++) {
      const at = (k: number) => data[row + ((x + k + width) % width)]!;
      let sum = part * (at(-whole - 1) + at(whole + 1));
      for (let k = -whole; k <= whole; k++) sum += at(k);
      out[row + x] = sum / box;
    }
  }
  return out;
}

type Taps = readonly [number, number, number, number, number];

function alongRows(data: Float32Array, width: number, height: number, taps: Taps): Float32Array {
  const out = new Float32Array(data.length);
  for (let y = 0; y < height; y++) {
    const row = y * width;
    for (let x = 0; x < width; x++) {
      let sum = 0;
      for (let k = -HALF; k <= HALF; k++) {
        sum += taps[k + HALF]! * data[row + ((x + k + width) % width)]!;
      }
      out[row + x] = sum;
    }
  }
  return out;
}

function downColumns(data: Float32Array, width: number, height: number, taps: Taps): Float32Array {
  const out = new Float32Array(data.length);
  for (let y = HALF; y < height - HALF; y++) {
    for (let x = 0; x < width; x++) {
      let sum = 0;
      for (let k = -HALF; k <= HALF; k++) sum += taps[k + HALF]! * data[(y + k) * width + x]!;
      out[y * width + x] = sum;
    }
  }
  return out;
}

function quantile(values: Float32Array, share: number): number {
  const sorted = Float32Array.from(values).sort();
  return sorted[Math.floor(share * (sorted.length - 1))]!;
}
