import type { Size } from './atlas.js';

/**
 * Texels along a row that hold as much angle as half the distance between rows. Towards a pole an
 * equirectangular picture holds ever more texels for the same angle; sampled at the density that the
 * latitude direction needs they would shimmer, and a level coarse enough for them would smear. Averaged
 * over this reach, one level of detail is right in both directions. It is below 1 within 60 degrees of
 * the equator, where a bilinear lookup spans two texels anyway.
 */
export function polarReach(row: number, { width, height }: Size): number {
  return Math.min(width, 0.5 / Math.sin((Math.PI * (row + 0.5)) / height));
}

/**
 * A box filter of `reach` texels (1 to `width`) around each texel of an RGB row that closes on itself.
 */
export function createCalmer(
  width: number,
): (row: Int32Array, reach: number, into: Int32Array) => void {
  const ring = new Int32Array((2 * width + 2) * 3);
  return (row, reach, into) => {
    // Whole texels on either side of the middle one, and the share of those at both ends.
    const side = Math.floor((reach - 1) / 2);
    const share = (reach - 1) / 2 - side;
    closeRing(row, side + 1, ring);
    average(ring, side, share / reach, 1 / reach, into);
  };
}

/** Puts the row's other end's `more` texels before it, and its own first ones after it. */
function closeRing(row: Int32Array, more: number, ring: Int32Array): void {
  const ends = 3 * more;
  ring.set(row, ends);
  if (ends <= row.length) {
    ring.set(row.subarray(row.length - ends), 0);
    ring.set(row.subarray(0, ends), ends + row.length);
  } else {
    // Only rows of a texel or two, all of which are averaged.
    for (let i = 0; i < ends; i++) {
      ring[ends - 1 - i] = row[row.length - 1 - (i % row.length)]!;
      ring[ends + row.length + i] = row[i % row.length]!;
    }
  }
}

function average(
  ring: Int32Array,
  side: number,
  share: number,
  scale: number,
  into: Int32Array,
): void {
  const window = (2 * side + 2) * 3;
  let r = 0;
  let g = 0;
  let b = 0;
  for (let at = 3; at < window; at += 3) {
    r += ring[at]!;
    g += ring[at + 1]!;
    b += ring[at + 2]!;
  }
  for (let i = 0, after = window; i < into.length; i += 3, after += 3) {
    const nextR = ring[after]!;
    const nextG = ring[after + 1]!;
    const nextB = ring[after + 2]!;
    into[i] = scale * r + share * (ring[i]! + nextR) + 0.5;
    into[i + 1] = scale * g + share * (ring[i + 1]! + nextG) + 0.5;
    into[i + 2] = scale * b + share * (ring[i + 2]! + nextB) + 0.5;
    // One to the right: the texel after comes in, the leftmost whole one goes.
    r += nextR - ring[i + 3]!;
    g += nextG - ring[i + 4]!;
    b += nextB - ring[i + 5]!;
  }
}
