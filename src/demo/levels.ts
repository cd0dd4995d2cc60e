/**
 * The land as four square height maps around the camera, each coarser and wider than the one before
 * (metres per texel grow as the picture's resolution on the ground falls).
 */
export interface Level {
  /** Half the side, in metres; the map covers [-half, half] in x and z. */
  readonly half: number;
  /** Texels a side. */
  readonly size: number;
  readonly metresPerTexel: number;
  /** Top of whatever stands there (ground, tree, 0 on water), row by row from -z to +z. */
  readonly top: Float32Array;
  readonly ground: Float32Array;
  /** How high the land's shadow reaches, in metres. */
  readonly shadow: Float32Array;
  /** sRGB-like albedo and, in the fourth byte, the water's depth (255 = 10 m and more). */
  readonly cover: Uint8ClampedArray;
  /** Normal x and z (128 = 0), sky visibility, sunlight, each a byte. */
  readonly light: Uint8ClampedArray;
}

export const HALF_EXTENTS_IN_M = [230, 960, 2700, 14000] as const;
/** The share of a level's half extent within which it is used; beyond, the next one is. */
export const USED_SHARE = 0.97;

/** Bilinear reading of one of a level's height rasters. */
export function heightAt(level: Level, raster: Float32Array, x: number, z: number): number {
  const { size, half, metresPerTexel } = level;
  const u = Math.min(size - 1.001, Math.max(0, (x + half) / metresPerTexel - 0.5));
  const v = Math.min(size - 1.001, Math.max(0, (z + half) / metresPerTexel - 0.5));
  const i = Math.floor(u);
  const j = Math.floor(v);
  const fu = u - i;
  const fv = v - j;
  const at = j * size + i;
  const a = raster[at] as number;
  const b = raster[at + 1] as number;
  const c = raster[at + size] as number;
  const d = raster[at + size + 1] as number;
  const low = a + (b - a) * fu;
  return low + (c + (d - c) * fu - low) * fv;
}

/** The finest level that holds a place. */
export function levelAt(levels: readonly Level[], x: number, z: number): Level {
  const reach = Math.max(Math.abs(x), Math.abs(z));
  return (levels.find(({ half }) => reach < half * USED_SHARE) ?? levels.at(-1)) as Level;
}
