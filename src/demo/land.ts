import { setImmediate as breathe } from 'node:timers/promises';
import { coverAt } from './cover.js';
import { HALF_EXTENTS_IN_M, type Level } from './levels.js';
import { fractal } from './noise.js';
import { bakeLight, castShadow } from './shade.js';
import { ground, shoreDistance, treeDensity } from './terrain.js';
import { plantTrees } from './trees.js';

/** Texels a side, as a share of the finest level's: what lies far off needs less. */
const SHARES = [1, 0.875, 0.75, 0.75];

/**
 * Builds the land, finest level first.
 *
 * @param finest texels a side of the finest level; @param throwShade draws the objects' shadows into it.
 */
export async function makeLand(
  finest: number,
  throwShade: (level: Level) => Uint8Array,
  onProgress: (share: number) => void = () => {},
): Promise<Level[]> {
  const levels: Level[] = [];
  for (const [i, half] of HALF_EXTENTS_IN_M.entries()) {
    const level = surveyed(half, Math.round(finest * (SHARES[i] as number)));
    if (level.metresPerTexel < 9) plantTrees(level);
    else roughen(level);
    levels.push(level);
    onProgress((i + 1) * 0.2);
    await breathe();
  }
  for (const level of levels.toReversed()) {
    castShadow(level, levels.slice(levels.indexOf(level) + 1));
    bakeLight(level, level === levels[0] ? throwShade(level) : undefined);
    await breathe();
  }
  onProgress(1);
  return levels;
}

function surveyed(half: number, size: number): Level {
  const metresPerTexel = (2 * half) / size;
  const base = new Float32Array(size * size);
  const top = new Float32Array(size * size);
  const shore = new Float32Array(size * size);
  const cover = new Uint8ClampedArray(size * size * 4);
  const place = (i: number) => (i + 0.5) * metresPerTexel - half;
  for (let row = 0; row < size; row++) {
    for (let column = 0; column < size; column++) {
      const index = row * size + column;
      const toShore = shoreDistance(place(column), place(row));
      const height = ground(place(column), place(row), toShore);
      shore[index] = toShore;
      base[index] = height;
      top[index] = Math.max(0, height);
    }
  }
  for (let row = 0; row < size; row++) {
    const down = row + 1 < size ? size : -size;
    for (let column = 0; column < size; column++) {
      const index = row * size + column;
      const height = base[index] as number;
      const dx = height - (base[index + (column + 1 < size ? 1 : -1)] as number);
      const dz = height - (base[index + down] as number);
      const slope = Math.sqrt(dx * dx + dz * dz) / metresPerTexel;
      const colour = coverAt(
        place(column),
        place(row),
        height,
        slope,
        metresPerTexel,
        shore[index] as number,
      );
      for (let k = 0; k < 3; k++) cover[index * 4 + k] = colour[k] as number;
      cover[index * 4 + 3] = height < 0 ? 2 - height * 25.5 : 0;
    }
  }
  const shadow = new Float32Array(size * size);
  return {
    half,
    size,
    metresPerTexel,
    top,
    ground: base,
    shadow,
    cover,
    light: new Uint8ClampedArray(size * size * 4),
  };
}

/** Far woods as an uneven canopy: trees are smaller than a texel there. */
function roughen({ size, half, metresPerTexel, top }: Level): void {
  for (let row = 0; row < size; row++) {
    const z = (row + 0.5) * metresPerTexel - half;
    for (let column = 0; column < size; column++) {
      const x = (column + 0.5) * metresPerTexel - half;
      const height = top[row * size + column] as number;
      if (height <= 0 || height > 560) continue;
      const bumps = 12 + 8 * fractal(x / 30, z / 30, 2);
      top[row * size + column] = height + treeDensity(x, z) * bumps;
    }
  }
}
