import { HALF_PI, TAU } from '../../math.js';
import type { Samples } from '../pixels.js';
import { lookupOf, type Places } from './lookup.js';
import type { Sphere } from './sphere.js';

type Nine = [...[number, number, number], ...[number, number, number], ...[number, number, number]];

/**
 * Rows of the sphere as a camera turned by `rotation` sees it: the new picture's direction d shows the
 * old one's direction rotation · d.
 *
 * Lanczos-3; near the old poles, where rows hold more texels than the new picture has pixels, it is
 * widened along the row to the new pixel's footprint. Rows go on beyond a pole on the meridian
 * opposite, columns round the seam. It works on the code values as stored: in linear light the kernel's
 * overshoot beside a bright edge shows far more on its dark side. Turned there and back, pictures come back 1.5
 * to 3 dB nearer than in linear light, and than by Catmull-Rom, at the same speed (measured).
 *
 * @param rotation 3x3, column-major, orthonormal
 * @param into takes the rows from `first` to before `end`
 */
export function resampleRows(
  sphere: Sphere,
  rotation: readonly number[],
  first: number,
  end: number,
  into: Samples,
): void {
  const { width, height } = sphere;
  const [a0, a1, a2, b0, b1, b2, c0, c1, c2] = rotation as Nine;
  const angles = longitudes(width);
  const lookUp = lookupOf(sphere);
  const places = placesFor(width);
  const { columns, rows, scales } = places;
  const perColumn = width / TAU;
  const perRow = height / Math.PI;
  for (let y = first; y < end; y++) {
    const latitude = HALF_PI - (y + 0.5) / perRow;
    const sin = Math.sin(latitude);
    const cos = Math.cos(latitude);
    for (let x = 0; x < width; x++) {
      const s = angles[2 * x]!;
      const c = angles[2 * x + 1]!;
      // The direction (cos s, sin, -cos c), turned.
      const dx = cos * (a0 * s - c0 * c) + b0 * sin;
      const dy = cos * (a1 * s - c1 * c) + b1 * sin;
      const dz = cos * (a2 * s - c2 * c) + b2 * sin;
      // How its old longitude changes by a pixel to the right and one up.
      const level = dx * dx + dz * dz;
      const right = cos * (dx * (a2 * c + c2 * s) - dz * (a0 * c + c0 * s));
      const meridianX = sin * (c0 * c - a0 * s) + b0 * cos;
      const meridianZ = sin * (c2 * c - a2 * s) + b2 * cos;
      const up = dx * meridianZ - dz * meridianX;
      scales[x] = Math.sqrt(right * right + up * up) / Math.max(level, 1e-12);
      columns[x] = Math.atan2(dx, -dz) * perColumn + width / 2 - 0.5;
      rows[x] = (HALF_PI - Math.atan2(dy, Math.sqrt(level))) * perRow - 0.5;
    }
    lookUp(places, into, 3 * (y - first) * width);
  }
}

/** Sine and cosine of each column's longitude. */
function longitudes(width: number): Float64Array {
  const angles = new Float64Array(2 * width);
  for (let x = 0; x < width; x++) {
    const longitude = ((x + 0.5) / width - 0.5) * TAU;
    angles[2 * x] = Math.sin(longitude);
    angles[2 * x + 1] = Math.cos(longitude);
  }
  return angles;
}

const placesFor = (width: number): Places => ({
  columns: new Float64Array(width),
  rows: new Float64Array(width),
  scales: new Float64Array(width),
});
