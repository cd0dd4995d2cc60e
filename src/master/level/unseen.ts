import sharp from 'sharp';
import { FIXED, solve } from '../complete/multigrid.js';
import { coverageOf } from '../inspect/coverage.js';
import { detectFormat } from '../inspect/format.js';
import { readGrid } from '../inspect/grid.js';
import { findHoles } from '../inspect/holes.js';
import { readPhoto } from '../inspect/photo.js';
import { type Pixels, pixels } from '../pixels.js';

/** Pixels of the small picture beyond a hole's edge that shrinking has mixed with it. */
const MARGIN = 2;

/**
 * Where a photo of the whole sphere shows nothing: transparent, or one colour with a hard edge.
 *
 * @returns one byte a pixel of the upright picture at that size, 1 where it shows nothing or nearly so; undefined
 *   where it shows something everywhere
 */
export async function findUnseen(
  file: string,
  { width, height }: { readonly width: number; readonly height: number },
): Promise<Uint8Array | undefined> {
  const photo = await readPhoto(file, await detectFormat(file));
  const coverage = coverageOf(photo, {});
  const grid = await readGrid(photo, coverage);
  const { holes, mask } = findHoles(grid, coverage);
  if (holes.length === 0) return undefined;
  const raw = { width: grid.width, height: grid.height, channels: 1 } as const;
  const stored = sharp(mask, { raw }).withMetadata({ orientation: photo.orientation });
  const upright = await sharp(await stored.png({ compressionLevel: 1 }).toBuffer())
    .autoOrient()
    .extractChannel(0)
    .raw()
    .toBuffer({ resolveWithObject: true });
  const out = new Uint8Array(width * height);
  for (let v = 0; v < upright.info.height; v++) {
    const y = Math.floor((v * height) / upright.info.height);
    for (let u = 0; u < upright.info.width; u++) {
      if (upright.data[v * upright.info.width + u] === 0) continue;
      const x = Math.floor((u * width) / upright.info.width);
      widen(out, width, height, x, y);
    }
  }
  return out;
}

function widen(out: Uint8Array, width: number, height: number, x: number, y: number): void {
  for (let v = Math.max(0, y - MARGIN); v <= Math.min(height - 1, y + MARGIN); v++) {
    for (let u = x - MARGIN; u <= x + MARGIN; u++) out[v * width + ((u + width) % width)] = 1;
  }
}

/** The whole sphere with a membrane over what it does not show, so that no edge there counts for any in the picture. */
export function smoothedOver(picture: Pixels, unseen: Uint8Array): Pixels {
  const { width, height, depth } = picture;
  const data = picture.data.slice();
  // The plane knows no way round: it is given a part of it twice.
  const beyond = width >> 3;
  const wide = width + 2 * beyond;
  const source = Uint32Array.from(
    { length: wide * height },
    (_, i) => Math.floor(i / wide) * width + (((i % wide) - beyond + width) % width),
  );
  const weight = Float64Array.from(source, (i) => (unseen[i] ? 0 : FIXED));
  for (let c = 0; c < 3; c++) {
    const value = Float64Array.from(source, (i) => data[3 * i + c]!);
    const { f } = solve({ width: wide, height, weight, value });
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const i = y * width + x;
        if (unseen[i])
          data[3 * i + c] = Math.min(2 ** depth - 1, Math.round(f[y * wide + x + beyond]!));
      }
    }
  }
  return pixels(width, height, data);
}
