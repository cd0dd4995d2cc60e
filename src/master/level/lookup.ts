import type { Samples } from '../pixels.js';
import { PHASES, REACH, STEPS, TAPS } from './kernel.js';
import type { Sphere } from './sphere.js';
import { coded, NARROW, wideLookupOf } from './wide.js';

/** Where a row's pixels look: at columns and rows of the sphere (middles at whole numbers), how wide. */
export interface Places {
  readonly columns: Float64Array;
  readonly rows: Float64Array;
  /** Texels along the row that a pixel takes in. */
  readonly scales: Float64Array;
}

/**
 * Reads the sphere at a row's places into `into` from `start` on. Most places need the kernel at its own
 * width and meet neither seam nor pole: for them all is written out, which takes half the time.
 */
export function lookupOf(sphere: Sphere): (places: Places, into: Samples, start: number) => void {
  const { width, height, data } = sphere;
  const most = data.BYTES_PER_ELEMENT === 1 ? 255 : 65535;
  const lookUpWide = wideLookupOf(sphere, most);
  const row = width * 3;
  const before = REACH - 1;
  return ({ columns, rows, scales }, into, start) => {
    for (let x = 0, at = start; x < width; x++, at += 3) {
      const u = columns[x]!;
      const v = rows[x]!;
      const left = Math.floor(u);
      const top = Math.floor(v);
      const isWithin =
        left >= before && left + REACH < width && top >= before && top + REACH < height;
      if (scales[x]! >= NARROW || !isWithin) {
        lookUpWide(u, v, scales[x]!, into, at);
        continue;
      }
      const across = (u - left) * STEPS;
      const step = across | 0;
      const rest = across - step;
      const k = step * TAPS;
      const a0 = PHASES[k]! + rest * (PHASES[k + 6]! - PHASES[k]!);
      const a1 = PHASES[k + 1]! + rest * (PHASES[k + 7]! - PHASES[k + 1]!);
      const a2 = PHASES[k + 2]! + rest * (PHASES[k + 8]! - PHASES[k + 2]!);
      const a3 = PHASES[k + 3]! + rest * (PHASES[k + 9]! - PHASES[k + 3]!);
      const a4 = PHASES[k + 4]! + rest * (PHASES[k + 10]! - PHASES[k + 4]!);
      const a5 = PHASES[k + 5]! + rest * (PHASES[k + 11]! - PHASES[k + 5]!);
      const down = (v - top) * STEPS;
      const stepDown = down | 0;
      const restDown = down - stepDown;
      let d = stepDown * TAPS;
      let red = 0;
      let green = 0;
      let blue = 0;
      let i = (top - before) * row + (left - before) * 3;
      for (const end = i + TAPS * row; i < end; i += row, d++) {
        const weight = PHASES[d]! + restDown * (PHASES[d + TAPS]! - PHASES[d]!);
        red +=
          weight *
          (a0 * data[i]! +
            a1 * data[i + 3]! +
            a2 * data[i + 6]! +
            a3 * data[i + 9]! +
            a4 * data[i + 12]! +
            a5 * data[i + 15]!);
        green +=
          weight *
          (a0 * data[i + 1]! +
            a1 * data[i + 4]! +
            a2 * data[i + 7]! +
            a3 * data[i + 10]! +
            a4 * data[i + 13]! +
            a5 * data[i + 16]!);
        blue +=
          weight *
          (a0 * data[i + 2]! +
            a1 * data[i + 5]! +
            a2 * data[i + 8]! +
            a3 * data[i + 11]! +
            a4 * data[i + 14]! +
            a5 * data[i + 17]!);
      }
      into[at] = coded(red, most);
      into[at + 1] = coded(green, most);
      into[at + 2] = coded(blue, most);
    }
  };
}
