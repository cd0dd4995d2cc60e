import type { PolarRows, Sphere } from './sphere.js';

const FACTORS = [2, 4, 8];
/** A kernel may use averages of this share of what it is widened to. */
const SHARE = 4;
/** Rows beyond those whose kernels are so wide, which such kernels reach. */
const MARGIN = 4;

/** All that a sphere's width allows, the finest first. */
export function polarRowsOf(sphere: Sphere): PolarRows[] {
  // Half a turn must be a whole number of averages.
  return FACTORS.filter((factor) => sphere.width % (2 * factor) === 0).map((factor) =>
    averaged(sphere, factor),
  );
}

function averaged({ width, height, data }: Sphere, factor: number): PolarRows {
  const from = SHARE * factor;
  // A kernel is widened to at most 1 / cos(latitude).
  const reached = Math.ceil((Math.asin(1 / from) / Math.PI) * height) + MARGIN;
  const count = Math.min(reached, Math.floor(height / 2));
  const samples = (width / factor) * 3;
  const bytes = 2 * count * samples * Float32Array.BYTES_PER_ELEMENT;
  const out = new Float32Array(new SharedArrayBuffer(bytes));
  for (let row = 0; row < 2 * count; row++) {
    const y = row < count ? row : height - 2 * count + row;
    let at = y * width * 3;
    const end = (row + 1) * samples;
    for (let i = row * samples; i < end; i += 3) {
      let r = 0;
      let g = 0;
      let b = 0;
      for (let k = 0; k < factor; k++, at += 3) {
        r += data[at]!;
        g += data[at + 1]!;
        b += data[at + 2]!;
      }
      out[i] = r / factor;
      out[i + 1] = g / factor;
      out[i + 2] = b / factor;
    }
  }
  return { factor, from, width: width / factor, count, data: out };
}
