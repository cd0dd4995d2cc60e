import sharp from 'sharp';
import { detectFormat } from '../inspect/format.js';
import { readGrid } from '../inspect/grid.js';
import { findHoles } from '../inspect/holes.js';
import { readPhoto } from '../inspect/photo.js';
import type { Inspection } from '../inspect.js';

/** Lossy formats smear a hole's edge over their blocks, 8 pixels wide at most; other files may have been lossy before. */
const SMEAR = 8;

/**
 * The areas that show nothing, found as `inspectMaster` finds them, as a mask for `completeMaster`:
 * white where the master is to be filled, a little beyond the areas' edges, and not where its alpha says so; of the master's size and
 * to be turned like it. Written to `file`, a PNG.
 *
 * @returns whether there is anything white
 */
export async function writeHoleMask(
  { file: master, coverage, holes }: Pick<Inspection, 'file' | 'coverage' | 'holes'>,
  file: string,
): Promise<boolean> {
  if (holes.length === 0) return false;
  const photo = await readPhoto(master, await detectFormat(master));
  const grid = await readGrid(photo, coverage);
  const { mask } = findHoles(grid, coverage);
  // Alpha itself says to the pixel what shows nothing, where nothing smears it, and needs no mask.
  const exact = (i: number) => !grid.lossy && grid.data[4 * i + 3]! < 255;
  for (let i = 0; i < mask.length; i++) if (exact(i)) mask[i] = 0;
  if (!mask.includes(1)) return false;
  const perSample = photo.width / grid.width;
  const grown = grow(mask, grid.width, grid.height, Math.max(1, Math.round(SMEAR / perSample)));
  for (let i = 0; i < grown.length; i++) grown[i]! *= 255;
  await sharp(grown, { raw: { width: grid.width, height: grid.height, channels: 1 } })
    .resize(photo.width, photo.height, { fit: 'fill', kernel: 'nearest' })
    .withMetadata({ orientation: photo.orientation })
    .png({ compressionLevel: 1 })
    .toFile(file);
  return true;
}

/** The mask, `by` samples wider on all sides. It does not run round the seam: known pixels there stay. */
function grow(mask: Uint8Array, width: number, height: number, by: number): Uint8Array {
  const across = new Uint8Array(mask.length);
  const both = new Uint8Array(mask.length);
  const spread = (from: Uint8Array, to: Uint8Array, start: number, step: number, count: number) => {
    for (let n = 0, last = -Infinity; n < count; n++) {
      if (from[start + n * step]) last = n;
      if (n - last <= by) to[start + n * step] = 1;
    }
    for (let n = count - 1, last = Infinity; n >= 0; n--) {
      if (from[start + n * step]) last = n;
      if (last - n <= by) to[start + n * step] = 1;
    }
  };
  for (let y = 0; y < height; y++) spread(mask, across, y * width, 1, width);
  for (let x = 0; x < width; x++) spread(across, both, x, width, height);
  return both;
}
