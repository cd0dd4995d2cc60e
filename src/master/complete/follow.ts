import type { Matching } from './patchmatch.js';
import type { Transport } from './transport.js';

/** Pixels from the rim within which the finer part of what is carried on counts too. */
const FINE = 4;
/** Times that what is carried on is softened: over about two pixels. */
const SOFTER = 8;

/**
 * Lets what is composed near the rim follow the rim's own structures, carried on: close by all but the
 * grain of them, farther in only their coarser part, over which copies keep their own detail.
 */
export function follow(
  m: Matching,
  rest: Float32Array,
  field: Float32Array,
  { share, value, depth }: Transport,
): void {
  const { size, band, source } = m;
  const where = band.filter((i) => share[i]! > 0);
  const off = new Float32Array(field.length);
  for (const i of where) {
    for (let c = 0; c < 3; c++) {
      off[3 * i + c] = value[3 * i + c]! - rest[3 * source[i]! + c]! - field[3 * i + c]!;
    }
  }
  const fine = softened(off, where, share, size);
  let coarse = fine;
  for (let n = 1; n < SOFTER; n++) coarse = softened(coarse, where, share, size);
  for (const i of where) {
    const detail = Math.max(0, 1 - depth[i]! / FINE);
    for (let k = 3 * i; k < 3 * i + 3; k++) {
      field[k]! += share[i]! * (coarse[k]! + detail * (fine[k]! - coarse[k]!));
    }
  }
}

/** The mean of each pixel and its neighbours, as far as they have a share. */
function softened(
  off: Float32Array,
  where: Uint32Array,
  share: Float32Array,
  size: number,
): Float32Array {
  const out = new Float32Array(off.length);
  for (const i of where) {
    let mass = 0;
    for (let dy = -1; dy <= 1; dy++) {
      for (let dx = -1; dx <= 1; dx++) {
        const q = i + dy * size + dx;
        if (share[q] === 0) continue;
        const w = (2 - Math.abs(dx)) * (2 - Math.abs(dy));
        mass += w;
        for (let c = 0; c < 3; c++) out[3 * i + c]! += w * off[3 * q + c]!;
      }
    }
    for (let c = 0; c < 3; c++) out[3 * i + c]! /= mass;
  }
  return out;
}
