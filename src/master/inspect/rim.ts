import type { Grid } from './grid.js';

const step = (column: number, by: number, width: number, round: boolean): number => {
  const to = column + by;
  if (to >= 0 && to < width) return to;
  return round ? (to + width) % width : -1;
};

function neighbour(
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
  for (const index of members) {
    const row = Math.floor(index / width);
    for (let side = 0; side < 4; side += 1) {
      const next = neighbour(row, index % width, side, width, height, round);
      if (next < 0 || labels[next] === own) continue;
      const beyond = outward(index, side, distance, width, height, round);
      if (beyond >= 0 && labels[beyond] !== own) differences.push(difference(data, beyond, colour));
    }
  }
  if (differences.length === 0) return Number.POSITIVE_INFINITY;
  differences.sort((a, b) => a - b);
  return differences[differences.length >> 2]!;
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
