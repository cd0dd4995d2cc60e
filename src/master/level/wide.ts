import type { Samples } from '../pixels.js';
import { firstOf, narrowKernel, REACH, roomFor, TAPS, wideKernel } from './kernel.js';
import type { Sphere } from './sphere.js';

/** Below this the kernel is not widened: a tenth more waves than may be there fold over, and none is seen. */
export const NARROW = 1.1;

/** Rows of texels, or of averages of some texels. */
interface Source {
  readonly width: number;
  readonly data: Samples | Float32Array;
  /** Where a row begins; negative where there is none such. */
  start(y: number): number;
}

/** Reads the sphere anywhere, at one place, with a kernel as wide as is asked for. */
export function wideLookupOf({ width, height, data, polar = [] }: Sphere, most: number) {
  const widest = Math.max(1, (width - 2) / TAPS);
  const across = new Float64Array(roomFor(widest));
  const down = new Float64Array(TAPS);
  const sum = new Float64Array(3);
  const texels: Source = { width, data, start: (y) => y * width * 3 };
  const averages = polar.map((rows) => {
    const { width: columns, count } = rows;
    const start = (y: number) => {
      const row = y < count ? y : y - height + 2 * count;
      return y < count || row >= count ? row * columns * 3 : -1;
    };
    return { ...rows, start };
  });

  /** Adds up what the kernel takes in of a source in which it begins at column `left`; whether it is all there. */
  const add = (source: Source, left: number, count: number, top: number): boolean => {
    const { width: columns, data: from } = source;
    sum.fill(0);
    for (let j = 0; j < TAPS; j++) {
      let y = top + j;
      let x = left;
      if (y < 0 || y >= height) {
        y = y < 0 ? -1 - y : 2 * height - 1 - y;
        x += columns / 2;
      }
      x = x < 0 ? x + columns : x >= columns ? x - columns : x;
      const start = source.start(y);
      if (start < 0) return false;
      let i = start + x * 3;
      let r = 0;
      let g = 0;
      let b = 0;
      // To where the row ends; a run over the seam goes on at its beginning.
      const toSeam = Math.min(count, columns - x);
      for (let k = 0; k < count; i = start) {
        for (const end = k === 0 ? toSeam : count; k < end; k++, i += 3) {
          const weight = across[k]!;
          r += weight * from[i]!;
          g += weight * from[i + 1]!;
          b += weight * from[i + 2]!;
        }
      }
      sum[0]! += down[j]! * r;
      sum[1]! += down[j]! * g;
      sum[2]! += down[j]! * b;
    }
    return true;
  };

  const addWide = (u: number, used: number, top: number): boolean => {
    for (let index = averages.length - 1; index >= 0; index--) {
      const source = averages[index]!;
      if (used < source.from) continue;
      // The middle of average m is at texel factor * m + (factor - 1) / 2.
      const place = (u - (source.factor - 1) / 2) / source.factor;
      const scale = used / source.factor;
      const count = wideKernel(place, scale, across);
      if (add(source, firstOf(place, scale), count, top)) return true;
    }
    return add(texels, firstOf(u, used), wideKernel(u, used, across), top);
  };

  return (u: number, v: number, scale: number, into: Samples, at: number): void => {
    const top = Math.floor(v) - (REACH - 1);
    narrowKernel(v - Math.floor(v), down);
    if (scale >= NARROW) addWide(u, Math.min(widest, scale), top);
    else {
      narrowKernel(u - Math.floor(u), across);
      add(texels, Math.floor(u) - (REACH - 1), TAPS, top);
    }
    for (let c = 0; c < 3; c++) into[at + c] = coded(sum[c]!, most);
  };
}

export const coded = (value: number, most: number): number =>
  value <= 0 ? 0 : value >= most ? most : (value + 0.5) | 0;
