import { toPlane } from './chart.js';
import type { Paint } from './fill.js';
import { cellOf, type Hole, type HoleMap } from './holes.js';
import { type Grid, grid } from './sphere.js';
import type { Canvas } from './types.js';

/** What painting needs of a canvas, worked out once. */
export interface Easel {
  readonly canvas: Canvas;
  readonly angles: Grid;
  readonly map: HoleMap;
  readonly columns: Uint32Array;
  readonly rows: Uint32Array;
  /** 1 for each row that has been written to. */
  readonly changed: Uint8Array;
}

export function easel(canvas: Canvas, map: HoleMap): Easel {
  return {
    canvas,
    map,
    angles: grid(canvas.width, canvas.height),
    columns: cellOf(canvas.width, map.width),
    rows: cellOf(canvas.height, map.height),
    changed: new Uint8Array(canvas.height),
  };
}

/** Paints one hole's pixels in the rows from `first` to before `end`; known pixels are never touched. */
export function paintRows(on: Easel, hole: Hole, paint: Paint, first: number, end: number): void {
  const { canvas, angles, map, columns, rows } = on;
  const { width, data } = canvas;
  const out = new Float64Array(3);
  const top = canvas.depth === 8 ? 255 : 65535;
  const level = top / 255;
  for (let y = first; y < end; y++) {
    const row = rows[y]! * map.width;
    const sy = angles.sinLatitude[y]!;
    const cy = angles.cosLatitude[y]!;
    for (let x = 0; x < width; x++) {
      const i = y * width + x;
      if (!canvas.hole[i] || map.labels[row + columns[x]!] !== hole.label) continue;
      const [px, py] = toPlane(paint.chart, [
        cy * angles.sinLongitude[x]!,
        sy,
        -cy * angles.cosLongitude[x]!,
      ]);
      out.fill(0);
      paint.add(px, py, out);
      for (let c = 0; c < 3; c++) {
        const value = out[c]! * level;
        data[3 * i + c] = value <= 0 ? 0 : value >= top ? top : Math.round(value);
      }
      on.changed[y] = 1;
    }
  }
}

/** The first row that the hole's cells touch, and the one after the last. */
export function rowsOf(on: Easel, hole: Hole): [first: number, end: number] {
  const { map, canvas } = on;
  let first = map.height;
  let last = -1;
  for (let j = 0; j < map.height; j++) {
    for (let i = 0; i < map.width; i++) {
      if (map.labels[j * map.width + i] !== hole.label) continue;
      first = Math.min(first, j);
      last = j;
      break;
    }
  }
  const perCell = canvas.height / map.height;
  return [Math.floor(first * perCell), Math.min(canvas.height, Math.ceil((last + 1) * perCell))];
}
