import type { Level } from './levels.js';
import { noise } from './noise.js';
import { ground } from './terrain.js';
import type { Tree } from './trees.js';

/** Raises a level's land to a tree's crown where that is higher, in the crown's colours. */
export function stampCrown(level: Level, tree: Tree): void {
  const { size, half, metresPerTexel, top, ground: base, cover } = level;
  const reach = tree.radius * 1.15;
  const texel = (value: number) => (value + half) / metresPerTexel - 0.5;
  const fromColumn = Math.max(0, Math.ceil(texel(tree.x - reach)));
  const toColumn = Math.min(size - 1, Math.floor(texel(tree.x + reach)));
  const fromRow = Math.max(0, Math.ceil(texel(tree.z - reach)));
  const toRow = Math.min(size - 1, Math.floor(texel(tree.z + reach)));
  const foot = ground(tree.x, tree.z);
  for (let row = fromRow; row <= toRow; row++) {
    const dz = (row + 0.5) * metresPerTexel - half - tree.z;
    for (let column = fromColumn; column <= toColumn; column++) {
      const dx = (column + 0.5) * metresPerTexel - half - tree.x;
      const q = Math.sqrt(dx * dx + dz * dz) / tree.radius;
      if (q >= 1.15) continue;
      const crown = tree.conifer ? coniferAt(tree, dx, dz, q) : broadleafAt(tree, dx, dz, q);
      const index = row * size + column;
      const y = foot + tree.height * crown.height;
      if (y + level.metresPerTexel * 0.1 <= (top[index] as number)) continue;
      // The colour reaches past the rim, or the ground's would creep up the crown's sides.
      if (crown.height > 0) top[index] = Math.max(y, base[index] as number);
      else if (q > 1 + (1.2 * level.metresPerTexel) / tree.radius) continue;
      for (let k = 0; k < 3; k++)
        cover[index * 4 + k] = Math.min(255, (tree.colour[k] as number) * crown.shade);
      cover[index * 4 + 3] = 0;
    }
  }
}

const crownAt = { height: 0, shade: 0 };

/** A cone of drooping branch whorls with a ragged rim. */
function coniferAt({ seed }: Tree, dx: number, dz: number, q: number) {
  const ragged = 0.13 * noise(dx * 2.1 + seed, dz * 2.1) + 0.09 * noise(dx * 5 + seed, dz * 5);
  const r = q * (1 + ragged);
  const whorls = r * 5.5;
  const whorl = whorls - Math.floor(whorls);
  crownAt.height = r >= 1 ? 0 : 1 - r * 0.86 - 0.07 * (whorl - 0.5) * (r > 0.1 ? 1 : 0);
  crownAt.shade = 0.8 + 0.35 * (1 - whorl) - 0.25 * r + 0.2 * ragged;
  return crownAt;
}

/** Leaf clumps, as domes in the unit disc: x, z, height of the middle, radius. */
const CLUMPS: readonly (readonly [number, number, number, number])[] = [
  [0, 0.05, 0.56, 0.44],
  ...[0, 1, 2, 3, 4].map((i) => clump(i * 1.26 + 0.4, 0.42, 0.36 + 0.06 * (i % 3), 0.42)),
  ...[0, 1, 2, 3, 4, 5, 6].map((i) =>
    clump(i * 0.9, 0.68 + 0.04 * (i % 2), 0.12 + 0.06 * (i % 3), 0.32),
  ),
];

function clump(angle: number, far: number, height: number, radius: number) {
  return [Math.sin(angle) * far, Math.cos(angle) * far, height, radius] as const;
}

/** A crown of overlapping leaf clumps. */
function broadleafAt({ seed, radius }: Tree, dx: number, dz: number, q: number) {
  const leaves = 0.6 * noise(dx * 2.2 + seed, dz * 2.2) + 0.4 * noise(dx * 5.1 + seed, dz * 5.1);
  const [sin, cos] = [Math.sin(seed), Math.cos(seed)];
  const x = ((dx * cos - dz * sin) / radius) * (1 + 0.06 * leaves);
  const z = ((dx * sin + dz * cos) / radius) * (1 + 0.06 * leaves);
  let height = 0;
  let hollow = 0;
  for (const [cx, cz, middle, r] of CLUMPS) {
    const d = ((x - cx) * (x - cx) + (z - cz) * (z - cz)) / (r * r);
    if (d >= 1) continue;
    const top = (middle + r) * (1 - 0.97 * d) ** 0.55;
    if (top > height) {
      height = top;
      hollow = d;
    }
  }
  crownAt.height = height === 0 ? 0 : height + 0.03 * leaves;
  crownAt.shade = 1.04 - 0.34 * hollow + 0.12 * leaves - 0.12 * q;
  return crownAt;
}
