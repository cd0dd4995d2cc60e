import type { Breathe } from '../breath.js';
import type { Canvas } from './types.js';

/** Pixels of the full canvas between breaths. */
const BREATH_PIXELS = 2 ** 24;

/**
 * The canvas at 1/factor of its size, 16 bit, by averages of code values; a reduced pixel is a hole
 * when any of its pixels is one. Averages are of code values, not of light: what is averaged here is
 * compared with, and joined to, neighbouring code values, and its mean must be theirs.
 */
export async function reduce(canvas: Canvas, factor: number, breathe: Breathe): Promise<Canvas> {
  if (factor <= 1) return canvas;
  const { width: fullWidth, height: fullHeight, data, hole } = canvas;
  const width = Math.max(2, Math.round(fullWidth / factor));
  const height = Math.max(1, Math.round(fullHeight / factor));
  const to16 = canvas.depth === 8 ? 257 : 1;
  const out = new Uint16Array(width * height * 3);
  const outHole = new Uint8Array(width * height);
  const edges = Array.from({ length: width + 1 }, (_, i) => Math.floor((i * fullWidth) / width));
  const sums = new Float64Array(width * 3);
  let seen = 0;
  for (let j = 0; j < height; j++) {
    const y0 = Math.floor((j * fullHeight) / height);
    const y1 = Math.floor(((j + 1) * fullHeight) / height);
    sums.fill(0);
    seen += (y1 - y0) * fullWidth;
    if (seen > BREATH_PIXELS) {
      seen = 0;
      await breathe();
    }
    for (let y = y0; y < y1; y++) {
      for (let i = 0; i < width; i++) {
        let p = y * fullWidth + edges[i]!;
        const end = y * fullWidth + edges[i + 1]!;
        let r = 0;
        let g = 0;
        let b = 0;
        let holes = 0;
        for (; p < end; p++) {
          holes |= hole[p]!;
          r += data[3 * p]!;
          g += data[3 * p + 1]!;
          b += data[3 * p + 2]!;
        }
        if (holes) outHole[j * width + i] = 1;
        sums[3 * i]! += r;
        sums[3 * i + 1]! += g;
        sums[3 * i + 2]! += b;
      }
    }
    for (let i = 0; i < width; i++) {
      const n = (edges[i + 1]! - edges[i]!) * (y1 - y0);
      for (let c = 0; c < 3; c++) {
        out[3 * (j * width + i) + c] = Math.round((sums[3 * i + c]! * to16) / n);
      }
    }
  }
  return { width, height, depth: 16, data: out, hole: outHole };
}

/** Reduced copies, made when first asked for; `forget` after the canvas has changed. */
export class Reductions {
  readonly #canvas: Canvas;
  readonly #breathe: Breathe;
  readonly #made = new Map<number, Canvas>();

  constructor(canvas: Canvas, breathe: Breathe) {
    this.#canvas = canvas;
    this.#breathe = breathe;
  }

  /** The smallest copy that has at least `scale` pixels per radian. */
  async atScale(scale: number): Promise<Canvas> {
    const factor = Math.max(1, Math.floor(this.#canvas.width / (2 * Math.PI) / scale));
    return this.byFactor(factor);
  }

  async byFactor(factor: number): Promise<Canvas> {
    let copy = this.#made.get(factor);
    if (!copy) {
      copy = await reduce(this.#canvas, factor, this.#breathe);
      this.#made.set(factor, copy);
    }
    return copy;
  }

  forget(): void {
    this.#made.clear();
  }
}
