import type { Regl, Texture2D } from 'regl';

/** Side of the square mask that is repeated over the frame. */
export const DITHER_SIDE = 32;

const COUNT = DITHER_SIDE * DITHER_SIDE;
const SIGMA = 1.9;
/** Farther off a pixel's energy is nothing. */
const REACH = 9;
const SPAN = 2 * REACH + 1;
/** How many pixels are set at first, spread by the relaxation before the ranking. */
const FIRST_SHARE = 0.1;

let mask: Uint8Array | undefined;

/** A blue-noise mask as a texture; the red channel holds the threshold. Rounding by it leaves no pattern. */
export function ditherTexture(regl: Regl): Texture2D {
  mask ??= blueNoise();
  return regl.texture({
    width: DITHER_SIDE,
    height: DITHER_SIDE,
    format: 'luminance',
    data: mask,
    wrap: 'repeat',
    mag: 'nearest',
    min: 'nearest',
  });
}

/**
 * Thresholds 0 to 255, each alike often, by void-and-cluster (Ulichney, "The void-and-cluster method
 * for dither array generation", SPIE 1913, 1993): pixels are ranked so that those up to any rank lie as
 * evenly spread as can be. Always the same.
 */
export function blueNoise(): Uint8Array {
  const kernel = gaussian();
  const start = evenStart(kernel);
  const ranks = new Int32Array(COUNT);
  const down = new Pattern(kernel, start);
  const first = down.count;
  for (let rank = first - 1; rank >= 0; rank--) ranks[down.remove(down.tightest())] = rank;
  const up = new Pattern(kernel, start);
  for (let rank = first; rank < COUNT; rank++) ranks[up.add(up.emptiest())] = rank;
  return Uint8Array.from(ranks, (rank) => Math.floor((rank * 256) / COUNT));
}

/** Energy that a set pixel lends to those up to REACH away, row by row. */
function gaussian(): Float64Array {
  return Float64Array.from({ length: SPAN * SPAN }, (_, index) => {
    const [x, y] = [(index % SPAN) - REACH, Math.floor(index / SPAN) - REACH];
    return Math.exp(-(x * x + y * y) / (2 * SIGMA * SIGMA));
  });
}

class Pattern {
  readonly set: Uint8Array;
  count = 0;
  readonly #energy = new Float64Array(COUNT);
  readonly #kernel: Float64Array;

  constructor(kernel: Float64Array, pixels: Iterable<number>) {
    this.#kernel = kernel;
    this.set = new Uint8Array(COUNT);
    for (const pixel of pixels) this.add(pixel);
  }

  add(pixel: number): number {
    this.set[pixel] = 1;
    this.count++;
    return this.#spread(pixel, 1);
  }

  remove(pixel: number): number {
    this.set[pixel] = 0;
    this.count--;
    return this.#spread(pixel, -1);
  }

  /** The set pixel with most others near it. */
  tightest(): number {
    return this.#extreme(1, (energy, best) => energy > best);
  }

  /** The unset pixel with fewest set ones near it. */
  emptiest(): number {
    return this.#extreme(0, (energy, best) => energy < best);
  }

  #spread(pixel: number, sign: number): number {
    const left = (pixel % DITHER_SIDE) - REACH + DITHER_SIDE;
    const top = Math.floor(pixel / DITHER_SIDE) - REACH + DITHER_SIDE;
    for (let y = 0; y < SPAN; y++) {
      const row = ((top + y) % DITHER_SIDE) * DITHER_SIDE;
      for (let x = 0; x < SPAN; x++) {
        this.#energy[row + ((left + x) % DITHER_SIDE)]! += sign * this.#kernel[y * SPAN + x]!;
      }
    }
    return pixel;
  }

  #extreme(wanted: number, better: (energy: number, best: number) => boolean): number {
    let found = -1;
    for (let pixel = 0; pixel < COUNT; pixel++) {
      if (this.set[pixel] !== wanted) continue;
      if (found < 0 || better(this.#energy[pixel]!, this.#energy[found]!)) found = pixel;
    }
    return found;
  }
}

/** A tenth of the pixels, moved from clusters into voids until nothing moves any more. */
function evenStart(kernel: Float64Array): number[] {
  const pattern = new Pattern(kernel, scattered());
  for (;;) {
    const taken = pattern.remove(pattern.tightest());
    const put = pattern.add(pattern.emptiest());
    if (put === taken) break;
  }
  return [...pattern.set.keys()].filter((pixel) => pattern.set[pixel] === 1);
}

/** Pixels drawn by a small linear congruential generator, so that the mask is always the same. */
function scattered(): Set<number> {
  const pixels = new Set<number>();
  for (let state = 1; pixels.size < COUNT * FIRST_SHARE; ) {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    pixels.add((state >>> 8) % COUNT);
  }
  return pixels;
}
