import type { Pixels } from '../../pixels.js';

/** One number for each pixel of a whole sphere, rows from the top. */
export interface Plane {
  readonly width: number;
  readonly height: number;
  readonly data: Float32Array;
}

/** Luma as BT.709 weighs it, of the coded values, 0 to 1. */
export function lumaOf({ width, height, depth, data }: Pixels): Plane {
  const most = 2 ** depth - 1;
  const luma = new Float32Array(width * height);
  for (let i = 0; i < luma.length; i++) {
    luma[i] =
      (0.2126 * data[3 * i]! + 0.7152 * data[3 * i + 1]! + 0.0722 * data[3 * i + 2]!) / most;
  }
  return { width, height, data: luma };
}
