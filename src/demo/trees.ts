import { stampCrown } from './crowns.js';
import type { Level } from './levels.js';
import { cellHash, noise } from './noise.js';
import { ground, inOrchard, treeDensity } from './terrain.js';

const SPACING_IN_M = 4.6;
/** Broadleaf trees nearer than this are things of their own, not bumps of the land. */
const NEAR_IN_M = 222;

type Rgb = readonly [number, number, number];

/** Crown colours (sRGB bytes). Conifers first: they take the high and the wild ground. */
const CONIFERS: readonly Rgb[] = [
  [42, 70, 44],
  [50, 82, 46],
  [36, 62, 50],
  [62, 88, 48],
];
const BROADLEAVES: readonly Rgb[] = [
  [84, 104, 48],
  [98, 112, 54],
  [70, 96, 46],
  [88, 104, 46],
  [76, 98, 56],
  [124, 114, 52],
  [82, 106, 50],
  [66, 88, 44],
  [144, 102, 50],
];
const BLOSSOM: Rgb = [222, 158, 170];

export interface Tree {
  readonly x: number;
  readonly z: number;
  readonly radius: number;
  readonly height: number;
  readonly conifer: boolean;
  readonly colour: Rgb;
  readonly seed: number;
}

/** Stamps every tree within the level into its heights and colours. */
export function plantTrees(level: Level): void {
  const reach = level.half + 6;
  const first = Math.floor(-reach / SPACING_IN_M);
  const last = Math.ceil(reach / SPACING_IN_M);
  for (let row = first; row <= last; row++) {
    for (let column = first; column <= last; column++) {
      const tree = treeInCell(column, row);
      if (tree && !standsAlone(tree)) stampCrown(level, tree);
    }
  }
}

const standsAlone = ({ conifer, x, z }: Tree): boolean => !conifer && Math.hypot(x, z) < NEAR_IN_M;

/** The broadleaf trees close to the camera, which the land leaves out. */
export function nearTrees(): Tree[] {
  const trees: Tree[] = [];
  const cells = Math.ceil(NEAR_IN_M / SPACING_IN_M) + 1;
  for (let row = -cells; row <= cells; row++) {
    for (let column = -cells; column <= cells; column++) {
      const tree = treeInCell(column, row);
      if (tree && standsAlone(tree)) trees.push(tree);
    }
  }
  return trees;
}

function treeInCell(column: number, row: number): Tree | undefined {
  const chance = cellHash(column, row, 1);
  const planted = inOrchard(column * SPACING_IN_M, row * SPACING_IN_M);
  const stray = planted ? 0.08 : 0.7;
  const x = (column + 0.5 + stray * (cellHash(column, row, 2) - 0.5)) * SPACING_IN_M;
  const z = (row + 0.5 + stray * (cellHash(column, row, 3) - 0.5)) * SPACING_IN_M;
  if (chance >= treeDensity(x, z)) return undefined;
  const altitude = ground(x, z);
  const wild = Math.hypot(x, z) / 900 + altitude / 260 + 0.5 * noise(x / 55, z / 55);
  if (altitude > 520 + 90 * noise(x / 200, z / 200)) return undefined;
  const conifer = !planted && cellHash(column, row, 4) < Math.min(0.97, 0.16 + 0.6 * wild);
  const size = planted ? 0.72 : 0.65 + 0.6 * cellHash(column, row, 5);
  const pick = cellHash(column, row, 6);
  const seed = cellHash(column, row, 7) * 100;
  if (conifer) {
    const colour = CONIFERS[Math.floor(pick * CONIFERS.length)] as Rgb;
    return { x, z, radius: 2.5 * size, height: 13.5 * size, conifer, colour, seed };
  }
  const blossom = planted || (Math.hypot(x, z) < 170 && cellHash(column, row, 8) < 0.14);
  const colour = blossom ? BLOSSOM : (BROADLEAVES[Math.floor(pick * BROADLEAVES.length)] as Rgb);
  const radius = (blossom ? 2.4 : 3.5) * size;
  return { x, z, radius, height: radius * 2, conifer, colour, seed };
}
