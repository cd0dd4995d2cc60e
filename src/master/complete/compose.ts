import type { Breathe } from '../breath.js';
import type { Atlas } from './atlas.js';
import { toDirection } from './chart.js';
import { follow } from './follow.js';
import { solveBreathing } from './multigrid.js';
import type { Matching } from './patchmatch.js';
import { addSample } from './sample.js';
import { transport } from './transport.js';
import type { Canvas } from './types.js';

/** What makes copies join each other and the rim: RGB, each copied pixel is taken `gain` times, plus `add`. */
export interface Correction {
  readonly gain: Float32Array;
  /** Code values. */
  readonly add: Float32Array;
}

/** How far known pixels hold the correction: it follows their mean over about two pixels. */
const HOLD = 8;
/** Below this weight, a pixel's edge is its own: no copy need join it. */
const LET_GO = 1e-6;
/** A misfit that no sky or meadow has with itself, but a tree with the sky: 40 code values a channel. */
const GROSS = 3 * 40 ** 2;
/** How far from the rim a correction fades, as a share of the hole's radius: it mends, it does not paint. */
const FADE = 0.5;

/** What surrounds the hole in its chart. */
export interface Rim {
  readonly known: Uint8Array;
  /** 1 where a known pixel is of another material than the fill. */
  readonly foreign: Uint8Array;
  /** 1 where a known pixel goes on over the fill, which so need not join it. */
  readonly hidden: Uint8Array;
  /** Whether light may spread from foreign pixels, as it does into a sky. */
  readonly glow: boolean;
  /** Pixels over which the steps that are left become soft edges. */
  readonly edgeLength: number;
  /** Pixels over which structures of the rim are carried on. */
  readonly way: number;
}

/**
 * The correction field: its gradient undoes the steps where copies from different places meet
 * (the mean of both places' gradients is wanted there), and at the rim it takes up the difference
 * from the known pixels. Foreign pixels that stand out (a cut tree) hold nothing, so
 * that they do not smear; what step is left there becomes a soft edge. Structures that touch the rim
 * then go on along their own direction. It takes seconds: `breathe` is awaited in between.
 * Source: Pérez, Gangnet, Blake, "Poisson Image Editing", SIGGRAPH 2003.
 */
export async function correct(
  m: Matching,
  atlas: Atlas,
  rim: Rim,
  breathe: Breathe,
): Promise<Correction> {
  const { size, band, inBand, source } = m;
  const { rest, low, width, light } = atlas;
  const field = new Float32Array(size * size * 3);
  const { known, hidden, edgeLength } = rim;
  const weight = holds(m, rest, rim);
  const soft = new Float64Array(size * size);
  for (const i of band) soft[i] = !known[i] ? 1 / edgeLength ** 2 : hidden[i] ? 0 : HOLD;
  const value = new Float64Array(size * size);
  for (let c = 0; c < 3; c++) {
    const divergence = new Float64Array(size * size);
    const link = (p: number, q: number, step: number) => {
      const sp = 3 * source[p]! + c;
      const sq = 3 * source[q]! + c;
      if (sq - sp === 3 * step || weight[p]! < LET_GO || weight[q]! < LET_GO) return;
      const wanted = 0.5 * (rest[sp + 3 * step]! - rest[sp]! + rest[sq]! - rest[sq - 3 * step]!);
      const jump = wanted - (rest[sq]! - rest[sp]!);
      divergence[p]! -= jump;
      divergence[q]! += jump;
    };
    for (const i of band) {
      if (inBand[i + 1]) link(i, i + 1, 1);
      if (inBand[i + size]) link(i, i + size, width);
      value[i] = known[i] ? m.rgb[3 * i + c]! - rest[3 * source[i]! + c]! : 0;
    }
    const plane = { width: size, height: size };
    const { f } = await solveBreathing({ ...plane, weight, value, divergence }, breathe, 2e-3, 25);
    // What is still left at the rim (the cut tree) goes over a short way: a soft edge, not a step.
    const left = value.map((v, i) => (inBand[i] && known[i] && !hidden[i] ? v - f[i]! : 0));
    const edge = await solveBreathing({ ...plane, weight: soft, value: left }, breathe, 2e-3, 25);
    for (let i = 0; i < f.length; i++) field[3 * i + c] = f[i]! + edge.f[i]!;
  }
  await breathe();
  follow(m, rest, field, transport(m.rgb, known, hidden, size, rim.way));
  const gain = new Float32Array(field.length);
  for (const i of band) {
    const own = 3 * (Math.floor(i / size) * width + (i % size));
    const here = low.subarray(own, own + 3);
    const there = low.subarray(3 * source[i]!, 3 * source[i]! + 3);
    for (let c = 0; c < 3; c++) {
      const counts = light(here, c);
      gain[3 * i + c] = light(there, c) / counts;
      field[3 * i + c] = field[3 * i + c]! / counts + here[c]! - gain[3 * i + c]! * there[c]!;
    }
  }
  return { gain, add: field };
}

function holds(m: Matching, rest: Float32Array, rim: Rim): Float64Array {
  const { size, band, rgb, source } = m;
  const { known, foreign, hidden, glow } = rim;
  const weight = new Float64Array(size * size);
  const inside = band.reduce((n, i) => n + (known[i] ? 0 : 1), 0);
  const free = Math.PI / (FADE ** 2 * Math.max(1, inside));
  for (const i of band) {
    if (!known[i]) {
      weight[i] = free;
      continue;
    }
    if (hidden[i]) continue;
    // How far it stands out from the sky or ground behind it, or from what goes on beyond the rim.
    let off = 0;
    let misfit = 0;
    let brighter = 0;
    for (let c = 0; c < 3; c++) {
      off += rgb[3 * i + c]! ** 2;
      misfit += (rgb[3 * i + c]! - rest[3 * source[i]! + c]!) ** 2;
      brighter += rgb[3 * i + c]!;
    }
    off = Math.min(off, misfit);
    const letGo = foreign[i] && !(glow && brighter > 0);
    weight[i] = letGo ? HOLD * Math.exp(-((off / GROSS) ** 2)) : HOLD;
  }
  return weight;
}

/** How fast one source gives way to another between two chart pixels; 1 is a plain crossfade. */
const SHARPNESS = 4;

/** Reads the finished texture at any position of the target chart, from the full-size canvas. */
export class Copier {
  readonly #m: Matching;
  readonly #atlas: Atlas;
  readonly #correction: Correction;
  readonly #canvas: Canvas;
  readonly #d = new Float64Array(3);
  readonly #share = new Float64Array(4);
  readonly #shift = new Int32Array(4);
  readonly #joined = new Float64Array(12);
  readonly #gain = new Float64Array(12);
  readonly #copied = new Float64Array(3);

  constructor(m: Matching, atlas: Atlas, correction: Correction, canvas: Canvas) {
    this.#m = m;
    this.#atlas = atlas;
    this.#correction = correction;
    this.#canvas = canvas;
  }

  /**
   * Adds the colour at plane pixel position (x, y) to out[0..2]. The four chart pixels around it each
   * point to a source, read at full resolution: those that go together are read once and weighted
   * bilinearly, those that do not give way quickly, or what they differ in would blur.
   */
  add(x: number, y: number, out: Float64Array): void {
    const { size, inBand, source } = this.#m;
    const x0 = Math.floor(x - 0.5);
    const y0 = Math.floor(y - 0.5);
    const fx = x - 0.5 - x0;
    const fy = y - 0.5 - y0;
    const share = this.#share;
    const shifts = this.#shift;
    const joined = this.#joined;
    const gain = this.#gain;
    joined.fill(0);
    gain.fill(0);
    let count = 0;
    for (let k = 0; k < 4; k++) {
      const i = (y0 + (k >> 1)) * size + x0 + (k & 1);
      const w = (k & 1 ? fx : 1 - fx) * (k >> 1 ? fy : 1 - fy);
      if (w <= 0 || !inBand[i]) continue;
      const shift = source[i]! - (k >> 1) * this.#atlas.width - (k & 1);
      let at = 0;
      while (at < count && shifts[at] !== shift) at++;
      if (at === count) {
        shifts[at] = shift;
        share[at] = 0;
        count++;
      }
      share[at]! += w;
      for (let c = 0; c < 3; c++) {
        joined[3 * at + c]! += w * this.#correction.add[3 * i + c]!;
        gain[3 * at + c]! += w * this.#correction.gain[3 * i + c]!;
      }
    }
    let total = 0;
    for (let n = 0; n < count; n++) total += share[n]! ** SHARPNESS;
    for (let n = 0; n < count; n++) {
      const part = share[n]! ** SHARPNESS / total;
      const s = shifts[n]!;
      this.#read(s % this.#atlas.width, Math.floor(s / this.#atlas.width), fx, fy);
      for (let c = 0; c < 3; c++) {
        const k = 3 * n + c;
        out[c]! += (part / share[n]!) * (joined[k]! + gain[k]! * this.#copied[c]!);
      }
    }
  }

  #read(column: number, row: number, fx: number, fy: number): void {
    const tile = this.#atlas.tiles[this.#atlas.tileOf[row]!]!;
    toDirection(tile.chart, column + 0.5 + fx, row - tile.top + 0.5 + fy, this.#d);
    this.#copied.fill(0);
    addSample(this.#canvas, this.#d[0]!, this.#d[1]!, this.#d[2]!, 1, this.#copied);
  }
}
