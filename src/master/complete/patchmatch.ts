import { type Atlas, FOREIGN, HALF } from './atlas.js';

/** The picture being completed and, for each pixel to be matched, its nearest source patch. */
export interface Matching {
  readonly size: number;
  /** RGB interleaved; the hole holds the present guess. */
  readonly rgb: Float32Array;
  /** Pixels whose patch touches the hole, in scan order. */
  readonly band: Uint32Array;
  /** 1 in the band. */
  readonly inBand: Uint8Array;
  /** Per pixel: the atlas pixel matched, and the patches' distance. */
  readonly source: Int32Array;
  readonly cost: Float32Array;
  readonly latitude: Float32Array;
  /** What it costs each pixel to be matched with what does not suit: it grows from the rim inwards. */
  readonly strange: Float32Array;
}

export interface SearchOptions {
  readonly random: () => number;
  /** Cost per squared radian of difference in latitude. */
  readonly level: number;
  /** Pixels from the rim over which what does not suit may go on. */
  readonly way: number;
  /** 1 where it goes on over the fill by itself, and none may be copied. */
  readonly hidden: Uint8Array;
  /** By what share each atlas pixel costs more, from how often it has been used. */
  readonly used: Float32Array;
}

/**
 * How much worse than the best a neighbour's match may be: where the patch touches the rim, and beyond,
 * where only other copies have to be met. Small pieces grow smooth: dull patches fit each other best.
 */
const AT_RIM = 1.5;
const INSIDE = 8;

const ROW = 3 * (2 * HALF + 1);

/** Sum of squared differences of two patches, given up once it passes `limit`. */
function distance(
  a: Float32Array,
  ai: number,
  aStride: number,
  b: Float32Array,
  bi: number,
  bStride: number,
  limit: number,
): number {
  let sum = 0;
  for (let r = 0; r <= 2 * HALF; r++) {
    for (let k = 0; k < ROW; k++) {
      const e = a[ai + k]! - b[bi + k]!;
      sum += e * e;
    }
    if (sum >= limit) return sum;
    ai += aStride;
    bi += bStride;
  }
  return sum;
}

/** The cost of matching pixel `i` with atlas pixel `s`. */
function costOf(
  m: Matching,
  atlas: Atlas,
  options: SearchOptions,
  i: number,
  s: number,
  limit: number,
) {
  const slope = m.latitude[i]! - atlas.latitude[s]!;
  const factor = 1 + options.used[s]!;
  const extra = options.level * slope * slope + (atlas.valid[s] === FOREIGN ? m.strange[i]! : 0);
  const room = limit / factor - extra;
  if (room <= 0) return limit;
  const ai = 3 * (i - HALF * m.size - HALF);
  const bi = 3 * (s - HALF * atlas.width - HALF);
  return factor * (extra + distance(m.rgb, ai, 3 * m.size, atlas.rest, bi, 3 * atlas.width, room));
}

function consider(m: Matching, atlas: Atlas, options: SearchOptions, i: number, s: number): void {
  if (s < 0 || s >= atlas.valid.length || !atlas.valid[s] || s === m.source[i]) return;
  const best = m.cost[i]!;
  const cost = costOf(m, atlas, options, i, s, best);
  if (cost < best) {
    m.source[i] = s;
    m.cost[i] = cost;
  }
}

/** Works every cost out afresh, after the guess or the penalties have changed. */
export function refreshCosts(m: Matching, atlas: Atlas, options: SearchOptions): void {
  for (const i of m.band) m.cost[i] = costOf(m, atlas, options, i, m.source[i]!, Infinity);
}

/** Every atlas pixel that suits, or is foreign, for drawing at random. */
export function validPixels(atlas: Atlas, kind: number): Uint32Array {
  const list: number[] = [];
  for (let s = 0; s < atlas.valid.length; s++) if (atlas.valid[s] === kind) list.push(s);
  return Uint32Array.from(list);
}

/**
 * One pass of PatchMatch over the band, forwards or backwards, from its pixel `from` to before `end`: take over a neighbour's match, moved by
 * one pixel, then look around the present match in shrinking windows, then anywhere.
 * Source: Barnes, Shechtman, Finkelstein, Goldman, "PatchMatch: A Randomized Correspondence Algorithm
 * for Structural Image Editing", SIGGRAPH 2009, sections 3.1-3.2.
 */
export function searchPass(
  m: Matching,
  atlas: Atlas,
  options: SearchOptions,
  everywhere: Uint32Array,
  foreign: Uint32Array,
  backwards: boolean,
  [from, end]: readonly [from: number, end: number],
): void {
  const { band, inBand, size, source } = m;
  const { random } = options;
  const step = backwards ? 1 : -1;
  for (let n = from; n < end; n++) {
    const i = band[backwards ? band.length - 1 - n : n]!;
    const beside = i + step;
    if (inBand[beside]) consider(m, atlas, options, i, source[beside]! - step);
    const above = i + step * size;
    if (inBand[above]) consider(m, atlas, options, i, source[above]! - step * atlas.width);
    for (let radius = 48; radius >= 1; radius >>= 1) {
      const dx = Math.floor((2 * random() - 1) * (radius + 1));
      const dy = Math.floor((2 * random() - 1) * (radius + 1));
      consider(m, atlas, options, i, source[i]! + dy * atlas.width + dx);
    }
    consider(m, atlas, options, i, everywhere[Math.floor(random() * everywhere.length)]!);
    if (foreign.length > 0 && m.strange[i]! < m.cost[i]!) {
      consider(m, atlas, options, i, foreign[Math.floor(random() * foreign.length)]!);
    }
  }
}

/**
 * Takes over a neighbour's match, moved by one pixel, where it is hardly worse than the best: pieces
 * copied whole keep their grain, pixels gathered one by one blur it. Source: Hertzmann, Jacobs,
 * Oliver, Curless, Salesin, "Image Analogies", SIGGRAPH 2001, section 3.2 (coherence).
 */
export function cohere(
  m: Matching,
  atlas: Atlas,
  options: SearchOptions,
  depth: Float32Array,
  backwards: boolean,
): void {
  const { band, inBand, size, source, cost } = m;
  const step = backwards ? 1 : -1;
  for (let n = 0; n < band.length; n++) {
    const i = band[backwards ? band.length - 1 - n : n]!;
    const limit = (depth[i]! <= HALF + 1 ? AT_RIM : INSIDE) * cost[i]! + 1;
    for (const [from, shift] of [
      [i + step, -step],
      [i + step * size, -step * atlas.width],
    ] as const) {
      if (!inBand[from]) continue;
      const s = source[from]! + shift;
      if (s === source[i] || s < 0 || !atlas.valid[s]) continue;
      if (costOf(m, atlas, options, i, s, limit) < limit) {
        source[i] = s;
        break;
      }
    }
  }
}
