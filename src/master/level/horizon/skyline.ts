import { degrees, radians } from '../../../math.js';
import { latitudeOf, longitudeOf, rayAt } from '../../../projection/sphere.js';
import type { Ray } from '../../../projection/types.js';
import type { Pixels } from '../../pixels.js';
import { type Boundary, findBoundary } from './boundary.js';
import { fitCircle } from './fitCircle.js';
import { lumaOf } from './plane.js';
import { featuresOf, skyEvidence } from './skyModel.js';

export interface Skyline {
  readonly zenith: Ray;
  /** Degrees above the horizon of the circle that the skyline follows. */
  readonly height: number;
  /** Share of the sphere on the side of the boundary where its looks belong: near 1 below an open sky. */
  readonly split: number;
  /** Degrees that the skyline strays from the circle, as 1.48 times the median. */
  readonly rough: number;
}

/** Latitudes between which a sky may end. */
const REACH = 55;
/** What is surely sky and ground before anything is known, and what is near the boundary after. */
const FIRST_MARGIN = 40;
const MARGIN = 2;
const ROUNDS = 3;
/** Difference of neighbouring rows that is an edge through and through. */
const EDGE = 0.15;

/**
 * The lower edge of the sky: pixels are sky or ground by how they look, which is learnt from the picture
 * itself (above, what looks like its top; below, like its bottom) and learnt anew from the boundary found.
 */
export function findSkyline(pixels: Pixels): Skyline {
  const { width, height } = pixels;
  const features = featuresOf(pixels);
  const edge = edgesDown(pixels);
  const row = (latitude: number) => Math.round((0.5 - latitude / 180) * height);
  let boundary: Boundary = new Float32Array(width).fill(height / 2);
  let split = 0;
  for (let round = 0; round < ROUNDS; round++) {
    const margin = ((round === 0 ? FIRST_MARGIN : MARGIN) / 180) * height;
    const lines = boundary;
    const evidence = skyEvidence(features, (x, y) =>
      y < lines[x]! - margin ? 1 : y > lines[x]! + margin ? -1 : 0,
    );
    const range = { first: row(REACH), end: row(-REACH) };
    boundary = findBoundary({ width, height, evidence, edge, ...range });
    split = agreement(evidence, boundary, width, height);
  }
  const rays = Array.from(boundary, (y, x) =>
    rayAt(((x + 0.5) / width - 0.5) * 2 * Math.PI, (0.5 - y / height) * Math.PI),
  );
  const { zenith, height: up, spread } = fitCircle(rays);
  return { zenith, height: degrees(up), split, rough: degrees(spread) };
}

function edgesDown(pixels: Pixels): Float32Array {
  const { width, height, data } = lumaOf(pixels);
  const edge = new Float32Array(width * height);
  for (let i = width; i < edge.length; i++) {
    edge[i] = Math.min(1, Math.abs(data[i]! - data[i - width]!) / EDGE);
  }
  return edge;
}

function agreement(
  evidence: Float32Array,
  boundary: Boundary,
  width: number,
  height: number,
): number {
  let [right, all] = [0, 0];
  for (let y = 0; y < height; y++) {
    const area = Math.sin(((y + 0.5) / height) * Math.PI);
    for (let x = 0; x < width; x++) {
      all += area;
      if (evidence[y * width + x]! > 0 === y < boundary[x]!) right += area;
    }
  }
  return right / all;
}

/** Degrees between two directions. */
export function apart(a: Ray, b: Ray): number {
  const cross = [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
  return degrees(Math.atan2(Math.hypot(...cross), a[0] * b[0] + a[1] * b[1] + a[2] * b[2]));
}

export const towards = (ray: Ray): { longitude: number; latitude: number } => ({
  longitude: degrees(longitudeOf(ray)),
  latitude: degrees(latitudeOf(ray)),
});

export const rayTilted = (tilt: number, longitude: number): Ray =>
  rayAt(radians(longitude), radians(90 - tilt));
