import type { Breathe } from '../breath.js';
import { type Atlas, FOREIGN, HALF, SUITS } from './atlas.js';
import type { ChartPicture } from './chart.js';
import { grow } from './grow.js';
import {
  cohere,
  type Matching,
  refreshCosts,
  type SearchOptions,
  searchPass,
  validPixels,
} from './patchmatch.js';

/** Values in a patch. */
const PATCH = 3 * (2 * HALF + 1) ** 2;
/** By how many code values a foreign patch must match better, at the end of the way that it may go on. */
const STRANGE = 20;

/** Steps from each hole pixel to the rim along the grid (two-pass chamfer, pixels). */
export function depthOf(known: Uint8Array, size: number): Float32Array {
  const depth = new Float32Array(known.length);
  const near = (i: number, j: number, d: number) => Math.min(depth[i]!, (depth[j] ?? 1e9) + d);
  for (let i = 0; i < known.length; i++) depth[i] = known[i] ? 0 : 1e9;
  for (let i = 0; i < known.length; i++) {
    if (known[i]) continue;
    for (const [j, d] of [
      [i - 1, 1],
      [i - size, 1],
      [i - size - 1, 1.4],
      [i - size + 1, 1.4],
    ] as const) {
      if (j >= 0) depth[i] = near(i, j, d);
    }
  }
  for (let i = known.length - 1; i >= 0; i--) {
    if (known[i]) continue;
    for (const [j, d] of [
      [i + 1, 1],
      [i + size, 1],
      [i + size + 1, 1.4],
      [i + size - 1, 1.4],
    ] as const) {
      if (j < known.length) depth[i] = near(i, j, d);
    }
  }
  return depth;
}

/** The pixels whose patch touches the hole, and the guess carried over from the coarser level. */
export function startMatching(
  picture: ChartPicture,
  atlas: Atlas,
  coarser: { matching: Matching; atlas: Atlas } | undefined,
  options: Omit<SearchOptions, 'used'>,
): Matching {
  const { random, level } = options;
  const { size } = picture.chart;
  const { known } = picture;
  const inBand = new Uint8Array(size * size);
  for (let i = 0; i < known.length; i++) {
    if (known[i]) continue;
    const x = i % size;
    const y = (i - x) / size;
    for (let dy = -HALF; dy <= HALF; dy++) {
      const yy = y + dy;
      if (yy < HALF || yy >= size - HALF) continue;
      const from = Math.max(HALF, x - HALF);
      const to = Math.min(size - HALF - 1, x + HALF);
      if (from <= to) inBand.fill(1, yy * size + from, yy * size + to + 1);
    }
  }
  const band = Uint32Array.from(inBand.keys()).filter((i) => inBand[i]);
  const rgb = new Float32Array(size * size * 3);
  for (let y = 0; y < size; y++) {
    // The target is tile 0 of the atlas: its rest is the known part of the guess.
    rgb.set(atlas.rest.subarray(3 * y * atlas.width, 3 * (y * atlas.width + size)), 3 * y * size);
  }
  const latitude = new Float32Array(size * size);
  for (let y = 0; y < size; y++) {
    latitude.set(atlas.latitude.subarray(y * atlas.width, y * atlas.width + size), y * size);
  }
  const everywhere = validPixels(atlas, SUITS);
  const foreign = validPixels(atlas, FOREIGN);
  const source = new Int32Array(size * size).fill(-1);
  const cost = new Float32Array(size * size);
  for (const i of band) {
    let s = -1;
    if (coarser) {
      const x = i % size;
      const y = (i - x) / size;
      const half = coarser.matching.size;
      const parent = (y >> 1) * half + (x >> 1);
      const from = coarser.matching.source[parent]!;
      if (from >= 0) {
        const w = coarser.atlas.width;
        s = (2 * Math.floor(from / w) + (y & 1)) * atlas.width + 2 * (from % w) + (x & 1);
        if (!atlas.valid[s]) s = -1;
      }
    }
    source[i] = s;
  }
  for (const i of band) {
    if (source[i]! < 0) source[i] = everywhere[Math.floor(random() * everywhere.length)]!;
  }
  const depth = depthOf(known, size);
  const { way, hidden } = options;
  const strange = depth.map((d, i) => (hidden[i] ? Infinity : PATCH * ((STRANGE * d) / way) ** 2));
  const matching = { size, rgb, band, inBand, source, cost, latitude, strange };
  if (coarser) vote(matching, atlas, known, depth);
  else grow(matching, atlas, known, depth, everywhere, foreign, level, random);
  return matching;
}

/** What a pixel's own match counts in the vote: a plain mean blurs, and then draws blurred patches. */
const OWN = 0.8;

/** Every hole pixel becomes the weighted mean of what the patches over it say (Wexler's vote), and of its own. */
export function vote(m: Matching, atlas: Atlas, known: Uint8Array, depth: Float32Array): void {
  const { size, band, source, cost } = m;
  const sums = new Float32Array(size * size * 4);
  const sorted = Float32Array.from(band, (i) => cost[i]!).sort();
  const spread = 2 * Math.max(1, sorted[Math.floor(0.75 * (sorted.length - 1))]!);
  for (const i of band) {
    const trust = Math.exp(-cost[i]! / spread) * Math.max(1e-3, 1.15 ** -depth[i]!) + 1e-9;
    for (let dy = -HALF; dy <= HALF; dy++) {
      let p = i + dy * size - HALF;
      let s = source[i]! + dy * atlas.width - HALF;
      for (let dx = -HALF; dx <= HALF; dx++, p++, s++) {
        if (known[p]) continue;
        sums[4 * p]! += trust * atlas.rest[3 * s]!;
        sums[4 * p + 1]! += trust * atlas.rest[3 * s + 1]!;
        sums[4 * p + 2]! += trust * atlas.rest[3 * s + 2]!;
        sums[4 * p + 3]! += trust;
      }
    }
  }
  for (let i = 0; i < known.length; i++) {
    const n = sums[4 * i + 3]!;
    if (n === 0) continue;
    for (let c = 0; c < 3; c++) {
      const mean = sums[4 * i + c]! / n;
      const copied = source[i]! < 0 ? mean : atlas.rest[3 * source[i]! + c]!;
      m.rgb[3 * i + c] = mean + OWN * (copied - mean);
    }
  }
}

/**
 * Penalties that spread the use of the sources (so that no copy is repeated): what a pixel's
 * neighbourhood has been used beyond its even share, as a share of the cost: where all is alike, as in
 * clear sky, it may still be used again.
 */
export function usage(m: Matching, atlas: Atlas, valid: number, strength: number): Float32Array {
  const cell = 8;
  const columns = Math.ceil(atlas.width / cell);
  const counts = new Float32Array(columns * Math.ceil(atlas.height / cell));
  const cellAt = (s: number) =>
    Math.floor(Math.floor(s / atlas.width) / cell) * columns + Math.floor((s % atlas.width) / cell);
  for (const i of m.band) counts[cellAt(m.source[i]!)]!++;
  // One use of each source pixel is free: a copied region is as large as its original.
  const even = cell * cell * Math.max(1, (1.5 * m.band.length) / valid);
  const used = new Float32Array(atlas.valid.length);
  for (let s = 0; s < used.length; s++) {
    if (atlas.valid[s]) used[s] = strength * Math.max(0, counts[cellAt(s)]! / even - 1);
  }
  return used;
}

/** Pixels matched between breaths: a fraction of a second. */
const BREATH_PIXELS = 2 ** 15;

/** Refines one level: search and vote in turn, with a breath between, in which `breathe` may stop it. Source: Wexler, Shechtman, Irani, "Space-Time
 * Completion of Video", PAMI 29(3), 2007. */
export async function refine(
  m: Matching,
  atlas: Atlas,
  picture: ChartPicture,
  rounds: number,
  passes: number,
  options: Omit<SearchOptions, 'used'>,
  breathe: Breathe,
  first: boolean,
): Promise<void> {
  const depth = depthOf(picture.known, m.size);
  const everywhere = validPixels(atlas, SUITS);
  const foreign = validPixels(atlas, FOREIGN);
  let used: Float32Array = first
    ? new Float32Array(atlas.valid.length)
    : usage(m, atlas, everywhere.length, 0.5);
  for (let round = 0; round < rounds; round++) {
    const search = { ...options, used };
    refreshCosts(m, atlas, search);
    for (let pass = 0; pass < passes; pass++) {
      const backwards = ((round * passes + pass) & 1) === 1;
      for (let from = 0; from < m.band.length; from += BREATH_PIXELS) {
        await breathe();
        const part = [from, Math.min(m.band.length, from + BREATH_PIXELS)] as const;
        searchPass(m, atlas, search, everywhere, foreign, backwards, part);
      }
    }
    await breathe();
    cohere(m, atlas, search, depth, false);
    await breathe();
    cohere(m, atlas, search, depth, true);
    await breathe();
    vote(m, atlas, picture.known, depth);
    used = usage(m, atlas, everywhere.length, 0.5);
  }
}
