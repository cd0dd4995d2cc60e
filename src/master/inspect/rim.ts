import type { Grid } from './grid.js';

const step = (column: number, by: number, width: number, round: boolean): number => {
  const to = column + by;
  if (to >= 0 && to < width) return to;
  return round ? (to + width) % width : -1;
};

/** -1 where the picture ends. */
export function neighbour(
  row: number,
  column: number,
  side: number,
  width: number,
  height: number,
  round: boolean,
): number {
  if (side === 0) return row === 0 ? -1 : (row - 1) * width + column;
  if (side === 1) return row === height - 1 ? -1 : (row + 1) * width + column;
  const to = step(column, side === 2 ? -1 : 1, width, round);
  return to < 0 ? -1 : row * width + to;
}

/** Largest difference of a sample's channels from a colour, in codes. */
export function difference(data: Uint8Array, index: number, colour: readonly number[]): number {
  let most = 0;
  for (let c = 0; c < 3; c += 1) {
    most = Math.max(most, Math.abs((data[4 * index + c] as number) - (colour[c] as number)));
  }
  return most;
}

/** Looks outward from each sample at the rim; infinite where the region has no rim in the picture. */
export function edgeOf(
  { width, height, data }: Grid,
  round: boolean,
  members: Uint32Array,
  labels: Uint32Array,
  colour: readonly number[],
  distance: number,
): number {
  const own = labels[members[0]!];
  const differences: number[] = [];
  alongRim(width, height, round, members, labels, (index, side) => {
    const beyond = outward(index, side, distance, width, height, round);
    if (beyond >= 0 && labels[beyond] !== own) differences.push(difference(data, beyond, colour));
  });
  return lowerQuartile(differences);
}

/** Calls `look` for each side of a region's samples on which another region begins. */
function alongRim(
  width: number,
  height: number,
  round: boolean,
  members: Uint32Array,
  labels: Uint32Array,
  look: (index: number, side: number) => void,
): void {
  const own = labels[members[0]!];
  for (const index of members) {
    const row = Math.floor(index / width);
    for (let side = 0; side < 4; side += 1) {
      const next = neighbour(row, index % width, side, width, height, round);
      if (next >= 0 && labels[next] !== own) look(index, side);
    }
  }
}

/** Infinite without any. */
export function lowerQuartile(values: number[]): number {
  values.sort((a, b) => a - b);
  return values[values.length >> 2] ?? Number.POSITIVE_INFINITY;
}

/** Codes by which the fade beyond a rim differs from one place to the next: below, it is smooth. */
const SMOOTH = 4;
/** Share of the step at the rim that a sky goes on to fade over the same way again; a quadratic dip has more. */
const GOES_ON = 0.5;

/**
 * The same for a region that holds a pole: beyond the last of each column's samples, so that specks of
 * JPEG's ringing inside it do not count.
 */
export function poleEdgeOf(
  { width, height, data }: Grid,
  members: Uint32Array,
  fromTop: boolean,
  colour: readonly number[],
  distance: number,
): number {
  const last = new Int32Array(width).fill(-1);
  for (const index of members) {
    const row = Math.floor(index / width);
    const way = fromTop ? row : height - 1 - row;
    last[index % width] = Math.max(last[index % width]!, way);
  }
  const differences: number[] = [];
  last.forEach((way, column) => {
    if (way < 0 || way === height - 1) return;
    const beyond = Math.min(height - 1, way + distance);
    const row = fromTop ? beyond : height - 1 - beyond;
    differences.push(difference(data, row * width + column, colour));
  });
  return lowerQuartile(differences);
}

/** Share of places `distance` beyond the rim where a channel goes up and down again, or down and up, outward: noise. */
export function roughnessBeyond(
  { width, height, data }: Grid,
  round: boolean,
  members: Uint32Array,
  labels: Uint32Array,
  distance: number,
): number {
  const own = labels[members[0]!];
  let looked = 0;
  let noisy = 0;
  alongRim(width, height, round, members, labels, (index, side) => {
    const one = outward(index, side, distance, width, height, round);
    const two = outward(index, side, distance + 1, width, height, round);
    const three = outward(index, side, distance + 2, width, height, round);
    if (one < 0 || two === three || labels[one] === own) return;
    looked += 1;
    const turns = (c: number) => {
      const there = data[4 * two + c]! - data[4 * one + c]!;
      const back = data[4 * two + c]! - data[4 * three + c]!;
      return there * back > 0;
    };
    if (turns(0) || turns(1) || turns(2)) noisy += 1;
  });
  return looked === 0 ? 0 : noisy / looked;
}

const middle = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[values.length >> 1]!;

/**
 * Whether above or below a region the picture just goes on to fade, as a clear sky does of which JPEG
 * has made a part one colour: smooth, and over twice the distance at least half as much again. Beyond a
 * true hole's edge it does not.
 */
export function fadesOn(
  { width, height, data }: Grid,
  round: boolean,
  members: Uint32Array,
  labels: Uint32Array,
  colour: readonly number[],
  distance: number,
): boolean {
  const own = labels[members[0]!];
  const rims = [0, 0];
  const goOn = [0, 1].map((side) => {
    const shares: number[] = [];
    const rough: number[] = [];
    let last: readonly number[] | undefined;
    for (const index of members) {
      const row = Math.floor(index / width);
      const next = neighbour(row, index % width, side, width, height, round);
      if (next < 0 || labels[next] === own) continue;
      rims[side]!++;
      const near = outward(index, side, distance, width, height, round);
      const far = outward(index, side, 2 * distance, width, height, round);
      if (near < 0 || far < 0 || labels[near] === own || labels[far] === own) continue;
      const fade = [0, 1, 2].map((c) => data[4 * far + c]! - data[4 * near + c]!);
      const size = Math.max(...fade.map(Math.abs));
      shares.push(size / Math.max(1, difference(data, near, colour)));
      rough.push(Math.max(...fade.map((f, c) => Math.abs(f - (last ?? fade)[c]!))));
      last = fade;
    }
    return shares.length > 1 && middle(rough) < SMOOTH && middle(shares) >= GOES_ON;
  });
  // Specks within a hole have a rim as well, but no long one.
  return goOn.some((goes, side) => goes && rims[side]! >= (rims[0]! + rims[1]!) / 4);
}

function outward(
  index: number,
  side: number,
  distance: number,
  width: number,
  height: number,
  round: boolean,
): number {
  let at = index;
  for (let n = 0; n < distance; n += 1) {
    const next = neighbour(Math.floor(at / width), at % width, side, width, height, round);
    if (next < 0) return n === 0 ? -1 : at;
    at = next;
  }
  return at;
}
