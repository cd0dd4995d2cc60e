import type { Grid } from './grid.js';
import { difference, edgeOf, fadesOn, poleEdgeOf, roughnessBeyond } from './rim.js';

/** Samples that touch each other and are alike: all transparent, or all of nearly one colour. */
export interface Region {
  readonly transparent: boolean;
  readonly members: Uint32Array;
  /** Its commonest colour. */
  readonly colour: readonly [number, number, number];
  /** Share of its samples within one code of that colour. */
  readonly evenShare: number;
  /**
   * Lower quartile of the differences, in codes, between the colour and what lies beyond its rim:
   * closely, where a sky would hardly have faded, and, of one that holds a pole, past the block in
   * which JPEG blurs a rim.
   */
  readonly edge: number;
  readonly farEdge: number;
  /** Whether what lies beyond the rim is the same fade that goes on. */
  readonly fadesOn: boolean;
  /** Share of what lies beyond its rim that goes up and down: near 1 in noise, near 0 where it fades. */
  readonly roughness: number;
  readonly solidAngle: number;
  readonly firstRow: number;
  readonly lastRow: number;
  /** The shortest run of columns that holds it: where it starts, and how many. */
  readonly firstColumn: number;
  readonly columns: number;
  /** Whether it fills 95 % of the first or last row. */
  readonly fillsPoleRow: boolean;
  /** Share of it that lies in rows it fills: near 1 where it ends along a level line. */
  readonly levelShare: number;
}

/** Codes by which a sample may differ from the region's first one: JPEG's ringing, no gradient. */
const ALIKE = 2;
const OPAQUE = 128;
/** Share of a row's samples; JPEG's ringing and dust take some. */
const FILLED = 0.95;
/** Samples beyond the rim. */
const NEAR = 4;
const FAR = 9;

/**
 * Regions of at least `smallest` steradians. `round`: the last column's neighbour is the first. `alike`: codes by
 * which samples may differ from the region's first one.
 */
export function labelAlike(grid: Grid, round: boolean, smallest: number, alike = ALIKE): Region[] {
  /** Per sample, one more than the seed of its region. */
  const labels = new Uint32Array(grid.width * grid.height);
  const queue = new Uint32Array(labels.length);
  const regions: Region[] = [];
  for (let seed = 0; seed < labels.length; seed += 1) {
    if (labels[seed] !== 0) continue;
    const { end, solidAngle } = spreadFrom(grid, round, seed, labels, queue, alike);
    if (solidAngle < smallest) continue;
    regions.push(measure(grid, round, queue.slice(0, end), labels, solidAngle));
  }
  return regions;
}

/** Fills `queue` with what is alike and connected to `seed`. A hot loop: eight million samples. */
function spreadFrom(
  { width, height, data, solidAngles }: Grid,
  round: boolean,
  seed: number,
  labels: Uint32Array,
  queue: Uint32Array,
  most: number,
): { end: number; solidAngle: number } {
  const r = data[4 * seed]!;
  const g = data[4 * seed + 1]!;
  const b = data[4 * seed + 2]!;
  const transparent = data[4 * seed + 3]! < OPAQUE;
  let end = 1;
  let solidAngle = 0;
  queue[0] = seed;
  labels[seed] = seed + 1;
  for (let next = 0; next < end; next += 1) {
    const index = queue[next]!;
    const row = (index / width) | 0;
    const column = index - row * width;
    solidAngle += solidAngles[row]!;
    for (let side = 0; side < 4; side += 1) {
      let to = index;
      if (side === 0) to = row === 0 ? -1 : index - width;
      else if (side === 1) to = row === height - 1 ? -1 : index + width;
      else if (side === 2) to = column > 0 ? index - 1 : round ? index + width - 1 : -1;
      else to = column < width - 1 ? index + 1 : round ? index - width + 1 : -1;
      if (to < 0 || labels[to] !== 0) continue;
      const i = 4 * to;
      if (data[i + 3]! < OPAQUE !== transparent) continue;
      const alike =
        transparent ||
        (Math.abs(data[i]! - r) <= most &&
          Math.abs(data[i + 1]! - g) <= most &&
          Math.abs(data[i + 2]! - b) <= most);
      if (!alike) continue;
      labels[to] = seed + 1;
      queue[end] = to;
      end += 1;
    }
  }
  return { end, solidAngle };
}

function measure(
  grid: Grid,
  round: boolean,
  members: Uint32Array,
  labels: Uint32Array,
  solidAngle: number,
): Region {
  const { width, height, data } = grid;
  const inRow = perRow(grid, members);
  const colour = commonest(data, members);
  const even = members.filter((index) => difference(data, index, colour) <= 1).length;
  const span = spanOf(grid, round, members);
  const poleRow = Math.max(inRow[0] as number, inRow[height - 1] as number);
  return {
    transparent: (data[4 * (members[0] as number) + 3] as number) < OPAQUE,
    members,
    colour,
    evenShare: even / members.length,
    edge: edgeOf(grid, round, members, labels, colour, NEAR),
    farEdge: poleEdgeOf(grid, members, span.firstRow === 0, colour, FAR),
    fadesOn: fadesOn(grid, round, members, labels, colour, FAR),
    roughness: roughnessBeyond(grid, round, members, labels, NEAR),
    solidAngle,
    ...span,
    fillsPoleRow: poleRow >= FILLED * width,
    levelShare: levelShareOf(grid, members, solidAngle),
  };
}

function perRow({ width, height }: Grid, members: Uint32Array): Uint32Array {
  const inRow = new Uint32Array(height);
  for (const index of members) inRow[Math.floor(index / width)]!++;
  return inRow;
}

/** Share of the samples' solid angle that lies in rows they fill. */
export function levelShareOf(grid: Grid, members: Uint32Array, solidAngle: number): number {
  const { width, solidAngles } = grid;
  const inFilledRows = perRow(grid, members).reduce(
    (sum, count, row) => (count >= FILLED * width ? sum + count * solidAngles[row]! : sum),
    0,
  );
  return inFilledRows / solidAngle;
}

/** The rows and the shortest run of columns that hold the samples. */
export function spanOf(
  { width, height }: Pick<Grid, 'width' | 'height'>,
  round: boolean,
  members: Uint32Array,
): Pick<Region, 'firstRow' | 'lastRow' | 'firstColumn' | 'columns'> {
  const used = new Uint8Array(width);
  let [firstRow, lastRow] = [height, 0];
  for (const index of members) {
    used[index % width] = 1;
    const row = Math.floor(index / width);
    firstRow = Math.min(firstRow, row);
    lastRow = Math.max(lastRow, row);
  }
  return { firstRow, lastRow, ...extent(used, round) };
}

function commonest(data: Uint8Array, members: Uint32Array): [number, number, number] {
  const counts = new Map<number, number>();
  let best = 0;
  for (const index of members) {
    const i = 4 * index;
    const key =
      ((data[i] as number) << 16) | ((data[i + 1] as number) << 8) | (data[i + 2] as number);
    counts.set(key, (counts.get(key) ?? 0) + 1);
    if ((counts.get(key) as number) > (counts.get(best) ?? 0)) best = key;
  }
  return [best >> 16, (best >> 8) & 255, best & 255];
}

/** The shortest run of columns with all used ones; it may cross the seam of a round picture. */
function extent(used: Uint8Array, round: boolean): { firstColumn: number; columns: number } {
  const width = used.length;
  const first = used.indexOf(1);
  const last = used.lastIndexOf(1);
  const plain = { firstColumn: first, columns: last - first + 1 };
  if (!round) return plain;
  let gap = { start: 0, length: 0 };
  let length = 0;
  for (let i = 0; i < 2 * width; i += 1) {
    length = used[i % width] === 1 ? 0 : length + 1;
    if (length > gap.length && length <= width) gap = { start: i - length + 1, length };
  }
  return gap.length === 0
    ? { firstColumn: 0, columns: width }
    : { firstColumn: (gap.start + gap.length) % width, columns: width - gap.length };
}
