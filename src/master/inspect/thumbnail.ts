import sharp from 'sharp';
import type { Coverage } from './coverage.js';
import { detectFormat } from './format.js';
import { readGrid } from './grid.js';
import { findHoles } from './holes.js';
import { readPhoto } from './photo.js';
import type { Inspection } from './types.js';
import { grabFrame } from './video.js';

/** Magenta, which seldom occurs outdoors; striped, so that it also shows to the colour-blind. */
const MARK = [255, 0, 200] as const;
const STRIPE = 8;
const UNCOVERED = [40, 40, 40] as const;

/**
 * The whole sphere, small, with its holes striped and what the master does not cover dark.
 *
 * @param width of the picture, which is twice as wide as high
 * @returns a PNG file's bytes
 */
export async function renderHoles(
  inspection: Pick<Inspection, 'coverage' | 'frameAt'>,
  file: string,
  width = 1024,
): Promise<Buffer> {
  const format = await detectFormat(file);
  const frame =
    format.kind === 'video' ? await grabFrame(file, inspection.frameAt ?? 0) : undefined;
  const photo = await readPhoto(file, format, frame);
  const { coverage } = inspection;
  const grid = await readGrid(photo, coverage);
  const { mask } = findHoles(grid, coverage);
  const height = width / 2;
  const pixels = Buffer.alloc(3 * width * height);
  const placed = placer(coverage, grid.width, grid.height);
  for (let y = 0; y < height; y += 1) {
    for (let x = 0; x < width; x += 1) {
      const at = placed((x + 0.5) / width, (y + 0.5) / height);
      const striped = (x + y) % (2 * STRIPE) < STRIPE;
      const colour =
        at < 0
          ? striped
            ? MARK
            : UNCOVERED
          : mask[at] === 1 && striped
            ? MARK
            : grid.data.subarray(4 * at, 4 * at + 3);
      pixels.set(colour, 3 * (y * width + x));
    }
  }
  return sharp(pixels, { raw: { width, height, channels: 3 } })
    .png()
    .toBuffer();
}

/** From shares of the whole sphere's width and height to the index of a sample; -1 outside. */
function placer(coverage: Coverage, width: number, height: number) {
  return (u: number, v: number): number => {
    const across = (u * 360 - 180 - coverage.left) / (coverage.right - coverage.left);
    const down = (coverage.top - (90 - v * 180)) / (coverage.top - coverage.bottom);
    if (across < 0 || across >= 1 || down < 0 || down >= 1) return -1;
    return Math.floor(down * height) * width + Math.floor(across * width);
  };
}
