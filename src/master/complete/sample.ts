import { asinClamped } from '../../math.js';
import type { Canvas } from './types.js';

/** Catmull-Rom weights for the four samples around a position `t` (0 to 1) past the second. */
function weights(t: number, out: Float64Array, at: number): void {
  out[at] = t * (-0.5 + t * (1 - 0.5 * t));
  out[at + 1] = 1 + t * t * (-2.5 + 1.5 * t);
  out[at + 2] = t * (0.5 + t * (2 - 1.5 * t));
  out[at + 3] = t * t * (-0.5 + 0.5 * t);
}

const kernel = new Float64Array(8);

/**
 * The canvas's colour in direction (x, y, z), added `share` times to out[0..2] in 8-bit code values;
 * Catmull-Rom (it keeps grain, where a bilinear sample softens it), across the seam. Pixels that are
 * holes count as they stand: keep off them.
 */
export function addSample(
  canvas: Canvas,
  x: number,
  y: number,
  z: number,
  share: number,
  out: Float64Array,
): void {
  const { width, height, data } = canvas;
  const u = (Math.atan2(x, -z) / (2 * Math.PI) + 0.5) * width - 0.5;
  const v = (0.5 - asinClamped(y) / Math.PI) * height - 0.5;
  const u0 = Math.floor(u);
  const v0 = Math.floor(v);
  weights(u - u0, kernel, 0);
  weights(v - v0, kernel, 4);
  const scaled = canvas.depth === 8 ? share : share / 257;
  let r = 0;
  let g = 0;
  let b = 0;
  for (let m = 0; m < 4; m++) {
    const row = Math.min(height - 1, Math.max(0, v0 - 1 + m)) * width;
    const wy = kernel[4 + m]! * scaled;
    for (let n = 0; n < 4; n++) {
      let column = u0 - 1 + n;
      if (column < 0) column += width;
      else if (column >= width) column -= width;
      const p = 3 * (row + column);
      const w = wy * kernel[n]!;
      r += w * data[p]!;
      g += w * data[p + 1]!;
      b += w * data[p + 2]!;
    }
  }
  out[0]! += r;
  out[1]! += g;
  out[2]! += b;
}
