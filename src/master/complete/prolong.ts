import { clamp, TAU } from '../../math.js';
import { addFieldAt, type Field } from './field.js';
import type { Hole } from './holes.js';
import { isBlue } from './light.js';
import { type Material, suitsAt } from './material.js';
import { direction, longitudeOf } from './sphere.js';
import { DEGREE } from './surroundings.js';
import type { Canvas } from './types.js';
import type { Easel } from './write.js';

/**
 * What stands before the sky (a building, a tree, a bank of cloud) and is cut by the rim of a cap: it
 * goes on into the cap for a short way, so that it ends in a top of its own and not along the rim.
 * One value for each of the canvas's columns; 0 where nothing is cut.
 */
export interface Tops {
  readonly pole: 1 | -1;
  /** The first known row as counted from the pole. */
  readonly rim: number;
  /** How far beyond the rim each column goes on, in rows. */
  readonly heights: Float32Array;
}

/** Code values by which something must stand out from what lies behind it. */
const CUT = 20;
/** Share of a run that must be of another material than the fill. */
const FOREIGN = 0.3;
/** Share of the rim. */
const MUCH = 0.3;
/** What is looked at beside the rim, radians. */
const LOOK = 0.7 * DEGREE;
/** Share of its height at which an edge has risen, and the width of a soft one, radians. */
const RISEN = 0.7;
const SOFT = 0.4 * DEGREE;
/** How far its ends go on, and how far any of it may. */
const LEAST = 1.2 * DEGREE;
const MOST = 5 * DEGREE;
const HIGHEST = 9 * DEGREE;
/** Half the azimuth over which one roof may be straight. */
const WIDEST = 40 * DEGREE;

/** Rows as counted from the pole, whichever it is. */
const rowAt = ({ height }: Canvas, pole: 1 | -1, row: number) =>
  pole > 0 ? row : height - 1 - row;

/** Where the cap ends along a row: the first row that is known all along; undefined where it does not. */
function levelRim(canvas: Canvas, { pole }: Hole): number | undefined {
  const { width, height, hole } = canvas;
  if (pole === 0) return undefined;
  for (let row = 0; row < height / 2; row++) {
    const start = rowAt(canvas, pole, row) * width;
    const missing = hole.subarray(start, start + width).reduce((n, h) => n + h, 0);
    if (missing === 0) return row > 0 ? row : undefined;
    if (missing < width) return undefined;
  }
  return undefined;
}

/**
 * Tells how far a known pixel, by column and row from the pole, stands out from the field behind it,
 * whether it is of
 * another material, whether it is lighter in every channel, as cloud and glow are, whether what lies behind is blue,
 * and whether it is blue itself, and bluer than that.
 */
function standingOut(canvas: Canvas, pole: 1 | -1, material: Material, field: Field) {
  const { width, height, data, depth } = canvas;
  const unit = depth === 8 ? 1 : 1 / 257;
  const out = new Float64Array(3);
  return (
    x: number,
    row: number,
  ): { off: number; foreign: boolean; lighter: boolean; blue: boolean; bluer: boolean } => {
    const y = rowAt(canvas, pole, row);
    const longitude = ((x + 0.5) / width - 0.5) * TAU;
    const latitude = (0.5 - (y + 0.5) / height) * Math.PI;
    out.fill(0);
    const d = direction(longitude, latitude);
    addFieldAt(field, d, 1, out);
    let off = 0;
    let lighter = true;
    const own = [0, 0, 0];
    for (let c = 0; c < 3; c++) {
      own[c] = data[3 * (y * width + x) + c]! * unit;
      const e = own[c]! - out[c]!;
      off += e * e;
      if (e < 0) lighter = false;
    }
    const bluer = isBlue(own) && own[2]! - own[0]! > out[2]! - out[0]! + CUT;
    const foreign = !suitsAt(material, d);
    return { off: Math.sqrt(off / 3), foreign, lighter, blue: isBlue(out), bluer };
  };
}

/** Finds what the rim of a cap cuts, before `behind`, the field that the sky (or ground) is filled from. */
export async function topsOf(
  canvas: Canvas,
  hole: Hole,
  material: Material,
  behind: () => Promise<Field>,
): Promise<Tops | undefined> {
  const rim = levelRim(canvas, hole);
  if (rim === undefined || hole.pole === 0) return undefined;
  const { pole } = hole;
  const { width, height } = canvas;
  const perRow = Math.PI / height;
  const look = Math.max(1, Math.round(LOOK / perRow));
  const step = Math.max(1, Math.round(look / 6));
  const deepest = Math.floor(Math.min(HIGHEST / perRow, 0.3 * rim));
  const at = standingOut(canvas, pole, material, await behind());
  const offs = new Float32Array(width);
  const foreign = new Uint8Array(width);
  const lighter = new Uint8Array(width);
  const cloud = new Uint8Array(width);
  const gap = new Uint8Array(width);
  /** Rows down to which it may be followed from the rim. */
  const followed = new Float32Array(width);
  for (let x = 0; x < width; x++) {
    let missed = 0;
    for (let n = 0; n < deepest && missed * step < look; n += step) {
      const seen = at(x, rim + n);
      if (n === 0 && seen.foreign) foreign[x] = 1;
      if (n === 0 && seen.lighter) lighter[x] = 1;
      if (n === 0 && seen.lighter && seen.blue && pole > 0) cloud[x] = 1;
      if (n === 0 && seen.bluer && pole > 0) gap[x] = 1;
      if (n < look) offs[x]! += seen.off / Math.ceil(look / step);
      missed = seen.off > CUT ? 0 : missed + 1;
      if (missed === 0) followed[x] = n + step;
    }
  }
  // Where much of the rim stands out, it is the sky itself that does: it is of several colours.
  const clear = offs.filter((off) => off > CUT).length < MUCH * width;
  const heights = new Float32Array(width);
  const sine = Math.sin(rim * perRow);
  const column = TAU / width;
  eachRun(
    Uint8Array.from(offs, (off) => (off > CUT ? 1 : 0)),
    (from, length) => {
      let strange = 0;
      let light = 0;
      let cloudy = 0;
      let clearer = 0;
      for (let n = 0; n < length; n++) {
        strange += foreign[(from + n) % width]!;
        light += lighter[(from + n) % width]!;
        cloudy += cloud[(from + n) % width]!;
        clearer += gap[(from + n) % width]!;
      }
      // Clouds, and the glow about a light, are of the sky: its own texture joins them.
      const ofTheSky = !clear || light > length / 2;
      if (ofTheSky && strange < FOREIGN * length) return;
      // Before a sky of much cloud, what is bluer is the clear sky between.
      if (clearer > length / 2) return;
      if (cloudy > length / 2 && soft(offs, from, length, column * sine)) return;
      const least = clamp(0.5 * length * column * sine, LEAST, MOST);
      for (let n = 0; n < length; n++) {
        const x = (from + n) % width;
        const straight = roof(
          rim * perRow,
          least,
          (n - (length - 1) / 2) * column,
          length * column,
        );
        heights[x] = Math.min(straight / perRow, followed[x]!, deepest);
      }
    },
  );
  return heights.some((h) => h > 0) ? { pole, rim, heights } : undefined;
}

/** Whether what stands out in a run of columns, each `wide` radians, rises slowly on both sides, as cloud does. */
function soft(offs: Float32Array, from: number, length: number, wide: number): boolean {
  const at = (n: number) => offs[(from + n) % offs.length]!;
  let most = 0;
  for (let n = 0; n < length; n++) most = Math.max(most, at(n));
  let lead = 0;
  while (at(lead) < RISEN * most) lead++;
  let tail = 0;
  while (at(length - 1 - tail) < RISEN * most) tail++;
  return Math.min(lead, tail) > Math.max(2, SOFT / wide);
}

/** How high a straight roof, a great circle, stands over the rim; `least` at its ends. Radians. */
function roof(rim: number, least: number, azimuth: number, wide: number): number {
  const half = Math.min(wide / 2, WIDEST);
  const along = Math.cos(half) / Math.cos(Math.min(Math.abs(azimuth), half));
  return rim - Math.atan(Math.tan(Math.min(rim - least, 1.5)) * along);
}

/** Each run of 1 in a ring. */
function eachRun(ring: Uint8Array, visit: (from: number, length: number) => void): void {
  const width = ring.length;
  const start = ring.indexOf(0);
  if (start < 0) {
    visit(0, width);
    return;
  }
  for (let n = 0; n < width; n++) {
    let length = 0;
    while (n + length < width && ring[(start + n + length) % width]) length++;
    if (length > 0) visit((start + n) % width, length);
    n += length;
  }
}

/** Whether what is seen in this direction goes on beyond the rim, so that no fill need join it. */
export function goesOn(tops: Tops, d: ArrayLike<number>): boolean {
  const { heights } = tops;
  const u = longitudeOf([d[0]!, d[1]!, d[2]!]) / TAU + 0.5;
  return heights[Math.min(heights.length - 1, Math.floor(u * heights.length))]! > 0;
}

/**
 * Lays the tops over the painted cap. Each column is mirrored at the rim by inversion in the plane
 * in which the pole is an ordinary point, which keeps angles: what stands upright stays so.
 */
export function paintTops(on: Easel, { pole, rim, heights }: Tops): void {
  const { canvas, changed } = on;
  const { width, height, data } = canvas;
  const perRow = Math.PI / height;
  const half = (row: number) => Math.tan((row * perRow) / 2);
  const most = heights.reduce((a, b) => Math.max(a, b), 0);
  for (let row = Math.max(0, Math.floor(rim - most - 1)); row < rim; row++) {
    const y = rowAt(canvas, pole, row);
    changed[y] = 1;
    const mirrored = 2 * Math.atan(half(rim) ** 2 / half(row + 0.5));
    const from = Math.min(height - 1.001, mirrored / perRow - 0.5);
    const above = Math.floor(from);
    const part = from - above;
    const a = rowAt(canvas, pole, above) * width;
    const b = rowAt(canvas, pole, above + 1) * width;
    for (let x = 0; x < width; x++) {
      const share = clamp(heights[x]! - (rim - row - 0.5) + 0.5, 0, 1);
      if (heights[x] === 0 || share === 0) continue;
      for (let c = 0; c < 3; c++) {
        const top = (1 - part) * data[3 * (a + x) + c]! + part * data[3 * (b + x) + c]!;
        const i = 3 * (y * width + x) + c;
        data[i] = Math.round((1 - share) * data[i]! + share * top);
      }
    }
  }
}
