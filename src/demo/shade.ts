import { heightAt, type Level, levelAt } from './levels.js';
import { SUN_DIRECTION } from './place.js';

const FLAT_LENGTH = Math.hypot(SUN_DIRECTION[0], SUN_DIRECTION[2]);
const RISE = SUN_DIRECTION[1] / FLAT_LENGTH;

/**
 * Fills in how high the shadow reaches over each texel: one sweep away from the sun carries the highest
 * light-stopping line along. `wider` are the coarser levels, done before; they tell what falls in from outside.
 */
export function castShadow(level: Level, wider: readonly Level[]): void {
  const { size, half, metresPerTexel, top, shadow } = level;
  // The sun stands ahead (-z), so rows run away from it; each step of a row shifts sideways.
  const shift = SUN_DIRECTION[0] / -SUN_DIRECTION[2];
  const fall = metresPerTexel * Math.hypot(1, shift) * RISE;
  for (let row = 0; row < size; row++) {
    const z = (row + 0.5) * metresPerTexel - half;
    for (let column = 0; column < size; column++) {
      const from = column + shift;
      const left = Math.floor(from);
      let above: number;
      if (row === 0 || left + 1 >= size) {
        const x = (from + 0.5) * metresPerTexel - half;
        above = outside(wider, x, z - metresPerTexel);
      } else {
        const at = (row - 1) * size + left;
        const a = shadow[at] as number;
        above = a + ((shadow[at + 1] as number) - a) * (from - left);
      }
      const index = row * size + column;
      shadow[index] = Math.max(top[index] as number, above - fall);
    }
  }
}

function outside(wider: readonly Level[], x: number, z: number): number {
  if (wider.length === 0) return -1e9;
  const level = levelAt(wider, x, z);
  return heightAt(level, level.shadow, x, z);
}

/** Fills a level's light map from its heights, its shadow and the extra shade that objects throw. */
export function bakeLight(level: Level, objects?: Uint8Array): void {
  const { size, metresPerTexel, top, light, shadow } = level;
  const near = boxBlur(top, size, 2.2 / metresPerTexel);
  const far = boxBlur(top, size, Math.max(2, 9 / metresPerTexel));
  const sunlit = new Float32Array(size * size);
  for (let i = 0; i < sunlit.length; i++) {
    const buried = (shadow[i] as number) - (top[i] as number);
    sunlit[i] =
      Math.max(0, 1 - buried / (0.5 + 0.5 * metresPerTexel)) * (1 - (objects?.[i] ?? 0) / 255);
  }
  const soft = boxBlur(sunlit, size, Math.max(0.5, 0.16 / metresPerTexel));
  for (let row = 0; row < size; row++) {
    const up = Math.max(0, row - 1) * size;
    const down = Math.min(size - 1, row + 1) * size;
    for (let column = 0; column < size; column++) {
      const index = row * size + column;
      const left = row * size + Math.max(0, column - 1);
      const right = row * size + Math.min(size - 1, column + 1);
      const dx = ((top[right] as number) - (top[left] as number)) / (2 * metresPerTexel);
      const dz =
        ((top[down + column] as number) - (top[up + column] as number)) / (2 * metresPerTexel);
      const length = Math.sqrt(dx * dx + dz * dz + 1);
      const here = top[index] as number;
      const hollow =
        Math.max(0, (near[index] as number) - here) * 0.28 +
        Math.max(0, (far[index] as number) - here) * (1.4 / (9 + 2 * metresPerTexel));
      light[index * 4] = 128 - (127 * dx) / length;
      light[index * 4 + 1] = 128 - (127 * dz) / length;
      light[index * 4 + 2] = 255 / (1 + hollow);
      light[index * 4 + 3] = 255 * (soft[index] as number);
    }
  }
}

/** How much of the sun's light the land lets through to a point, 0 to 1. */
export function sunlightAt(level: Level, x: number, y: number, z: number): number {
  if (Math.max(Math.abs(x), Math.abs(z)) >= level.half) return 1;
  return Math.min(1, Math.max(0, (y - heightAt(level, level.shadow, x, z)) / 0.8 + 0.6));
}

/** Mean over a square of about 2 radius + 1 texels a side, by running sums. */
function boxBlur(source: Float32Array, size: number, radiusInTexels: number): Float32Array {
  const radius = Math.max(1, Math.round(radiusInTexels));
  const share = 1 / (2 * radius + 1);
  const last = size - 1;
  const across = new Float32Array(size * size);
  for (let base = 0; base < across.length; base += size) {
    let sum = 0;
    for (let k = -radius; k <= radius; k++)
      sum += source[base + Math.min(last, Math.max(0, k))] as number;
    for (let i = 0; i < size; i++) {
      across[base + i] = sum * share;
      sum += source[base + Math.min(last, i + radius + 1)] as number;
      sum -= source[base + Math.max(0, i - radius)] as number;
    }
  }
  // Down the columns all at once, row by row, so that memory is read in its order.
  const result = new Float32Array(size * size);
  const sums = new Float64Array(size);
  const add = (row: number, sign: number) => {
    const base = Math.min(last, Math.max(0, row)) * size;
    for (let i = 0; i < size; i++)
      sums[i] = (sums[i] as number) + sign * (across[base + i] as number);
  };
  for (let k = -radius; k <= radius; k++) add(k, 1);
  for (let row = 0; row < size; row++) {
    for (let i = 0; i < size; i++) result[row * size + i] = (sums[i] as number) * share;
    add(row + radius + 1, 1);
    add(row - radius, -1);
  }
  return result;
}
