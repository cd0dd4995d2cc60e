import type { Grid } from './grid.js';
import { levelShareOf, type Region, spanOf } from './regions.js';
import { difference, lowerQuartile, neighbour } from './rim.js';

/** Pixels: JPEG blurs colours over blocks twice as wide as those of its lightness; WebP's are as wide. */
const BLOCK = 16;
/**
 * Code values by which the ringing in such a block may differ from the hole's colour; at most half of what lies
 * beyond the block does, so that the hole does not grow into what is nearly of its colour.
 */
const RINGING = 32;
/** Samples beyond the ring in which a hard edge has risen. */
const NEAR = 4;

/**
 * The region with the ring in which a lossy format has mixed its colour with what lies beyond its rim; as it is
 * where its samples are of exactly one colour, which have not passed through such a format.
 */
export function withRing(region: Region, grid: Grid, round: boolean): Region {
  const { members, colour, transparent } = region;
  const off = (index: number) => difference(grid.data, index, colour);
  if (transparent || members.every((index) => off(index) === 0)) return region;
  const reach = Math.round(BLOCK / grid.step);
  const beyond = around(grid, round, members, reach + 1, () => true).at(-1) ?? [];
  const most = Math.min(RINGING, lowerQuartile(beyond.map(off)) / 2);
  const ring = around(grid, round, members, reach, (index) => off(index) <= most).flat();
  const all = new Uint32Array(members.length + ring.length);
  all.set(members);
  all.set(ring, members.length);
  const area = (sum: number, index: number) =>
    sum + grid.solidAngles[Math.floor(index / grid.width)]!;
  const solidAngle = ring.reduce(area, region.solidAngle);
  const levelShare = levelShareOf(grid, all, solidAngle);
  const edge = lowerQuartile((around(grid, round, all, NEAR, () => true).at(-1) ?? []).map(off));
  return { ...region, members: all, solidAngle, ...spanOf(grid, round, all), levelShare, edge };
}

/** What lies around the samples, step by step outward, through what is taken. */
function around(
  { width, height }: Grid,
  round: boolean,
  members: Uint32Array,
  steps: number,
  take: (index: number) => boolean,
): number[][] {
  const seen = new Uint8Array(width * height);
  for (const index of members) seen[index] = 1;
  const rings: number[][] = [];
  let rim: ArrayLike<number> = members;
  for (let n = 0; n < steps; n++) {
    const next: number[] = [];
    for (let k = 0; k < rim.length; k++) {
      const index = rim[k]!;
      for (let side = 0; side < 4; side++) {
        const to = neighbour(Math.floor(index / width), index % width, side, width, height, round);
        if (to < 0 || seen[to] || !take(to)) continue;
        seen[to] = 1;
        next.push(to);
      }
    }
    rings.push(next);
    rim = next;
  }
  return rings;
}
