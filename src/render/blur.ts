import { decodeSrgb, encodeSrgb } from '../colour.js';
import type { Pixels, Pixels8 } from '../master/pixels.js';

const WIDTH = 64;
const HEIGHT = 32;

/** Standard deviation of the blur, in radians. */
const SIGMA = 0.14;

/**
 * A small picture of the whole sphere, blurred alike in every direction (a Gaussian of the angle), for
 * backgrounds. Slow per texel, so give it a coarse level (at most some hundred texels wide).
 */
export function blurSphere(source: Pixels): Pixels8 {
  const cells = sphereCells(source);
  const data = new Uint8Array(WIDTH * HEIGHT * 3);
  for (let index = 0; index < WIDTH * HEIGHT; index++) {
    const [x, y, z] = direction(index % WIDTH, Math.floor(index / WIDTH), WIDTH, HEIGHT);
    const sum = [0, 0, 0];
    let total = 0;
    for (const cell of cells) {
      const cosine = x * cell.x + y * cell.y + z * cell.z;
      // 2 - 2 cos is the squared chord, close enough to the squared angle where the weight counts.
      const weight = cell.area * Math.exp((cosine - 1) / (SIGMA * SIGMA));
      total += weight;
      for (let c = 0; c < 3; c++) sum[c]! += weight * cell.light[c]!;
    }
    for (let c = 0; c < 3; c++) data[index * 3 + c] = Math.round(255 * encodeSrgb(sum[c]! / total));
  }
  return { width: WIDTH, height: HEIGHT, depth: 8, data };
}

interface Cell {
  readonly x: number;
  readonly y: number;
  readonly z: number;
  readonly area: number;
  readonly light: readonly number[];
}

function sphereCells({ width, height, depth, data }: Pixels): Cell[] {
  const most = 2 ** depth - 1;
  return Array.from({ length: width * height }, (_, index) => {
    const row = Math.floor(index / width);
    const [x, y, z] = direction(index % width, row, width, height);
    const light = [0, 1, 2].map((c) => decodeSrgb(data[index * 3 + c]! / most));
    return { x, y, z, area: Math.sin((Math.PI * (row + 0.5)) / height), light };
  });
}

function direction(
  column: number,
  row: number,
  width: number,
  height: number,
): [number, number, number] {
  const longitude = ((column + 0.5) / width - 0.5) * 2 * Math.PI;
  const latitude = (0.5 - (row + 0.5) / height) * Math.PI;
  return [
    Math.sin(longitude) * Math.cos(latitude),
    Math.sin(latitude),
    -Math.cos(longitude) * Math.cos(latitude),
  ];
}
