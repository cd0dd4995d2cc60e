import type { Framebuffer2D, Regl } from 'regl';
import type { Size } from './atlas.js';

/**
 * ANGLE's Vulkan back end asks the driver for new memory whenever it reads back more than this at once; for
 * less it has some at hand. Measured on an NVIDIA H200: 5.9 MiB at a time 2 GB/s, 3.9 MiB 7 GB/s.
 */
const MOST_BYTES = 3.98 * 2 ** 20;

/** Reads a frame buffer of RGBA texels back, its first row first. */
export function readBack<T extends Uint8Array | Float32Array>(
  regl: Regl,
  framebuffer: Framebuffer2D,
  { width, height }: Size,
  into: T,
): void {
  const rows = Math.max(1, Math.floor(MOST_BYTES / (width * 4 * into.BYTES_PER_ELEMENT)));
  for (let y = 0; y < height; y += rows) {
    const band = Math.min(rows, height - y);
    const data = into.subarray(y * width * 4, (y + band) * width * 4) as T;
    regl.read({ framebuffer, x: 0, y, width, height: band, data });
  }
}
