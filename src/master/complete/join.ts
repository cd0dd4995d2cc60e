import type { Breathe } from '../breath.js';
import { toPlane } from './chart.js';
import type { Paint } from './fill.js';
import type { Hole } from './holes.js';
import type { Direction } from './sphere.js';
import type { Canvas } from './types.js';
import type { Easel } from './write.js';

/** How far beyond the rim a difference is carried: this angle, but between so many pixels. Radians. */
const REACH = 1.5 * (Math.PI / 180);
const LEAST = 4;
const MOST = 8;
/** What a neighbour across a corner counts, beside one along a side. */
const CORNER = 0.25;

/**
 * Joins a painted hole to its rim pixel by pixel. Paint meets the known pixels on the average; grain
 * and texture of their own still differ from pixel to pixel, and what they differ by is a fine line
 * along the rim. Each difference is carried a few pixels into the hole, less with each.
 */
export async function joinRim(
  on: Easel,
  hole: Hole,
  paint: Paint,
  [first, end]: readonly [first: number, end: number],
  breathe: Breathe,
): Promise<void> {
  const { canvas, angles, map, columns, rows } = on;
  const { width, height, data } = canvas;
  const top = canvas.depth === 8 ? 255 : 65535;
  const out = new Float64Array(3);
  const inHole = (i: number) => {
    const x = i % width;
    return (
      canvas.hole[i] === 1 &&
      map.labels[rows[(i - x) / width]! * map.width + columns[x]!] === hole.label
    );
  };
  /** What the known pixel has beyond what the paint would be there. */
  const beyond = (i: number): readonly [number, number, number] => {
    const x = i % width;
    const y = (i - x) / width;
    const cy = angles.cosLatitude[y]!;
    const d: Direction = [
      cy * angles.sinLongitude[x]!,
      angles.sinLatitude[y]!,
      -cy * angles.cosLongitude[x]!,
    ];
    out.fill(0);
    const [px, py] = toPlane(paint.chart, d);
    paint.add(px, py, out);
    const at = (c: number) => data[3 * i + c]! - out[c]! * (top / 255);
    return [at(0), at(1), at(2)];
  };
  const reach = Math.round(Math.min(MOST, Math.max(LEAST, (REACH * width) / (2 * Math.PI))));
  const carried = new Map<number, readonly [number, number, number]>();
  await breathe();
  let edge = edgeOf(canvas, first, end).filter(inHole);
  for (const i of edge) {
    for (const [n] of around(i, width, height)) {
      if (canvas.hole[n] === 0 && !carried.has(n)) carried.set(n, beyond(n));
    }
  }
  for (let depth = 1; depth <= reach; depth++) {
    await breathe();
    const next = new Set<number>();
    const layer: [number, readonly [number, number, number]][] = [];
    for (const i of edge) {
      let mass = 0;
      const sum = [0, 0, 0];
      for (const [n, w] of around(i, width, height)) {
        const e = carried.get(n);
        if (e) {
          mass += w;
          for (let c = 0; c < 3; c++) sum[c]! += w * e[c]!;
        } else if (inHole(n)) next.add(n);
      }
      if (mass > 0) layer.push([i, [sum[0]! / mass, sum[1]! / mass, sum[2]! / mass]]);
    }
    const share = 1 - depth / (reach + 1);
    for (const [i, e] of layer) {
      carried.set(i, e);
      for (let c = 0; c < 3; c++) {
        const value = data[3 * i + c]! + share * e[c]!;
        data[3 * i + c] = value <= 0 ? 0 : value >= top ? top : Math.round(value);
      }
    }
    edge = [...next].filter((n) => !carried.has(n));
  }
}

/** The hole's pixels that touch a known one, in the rows from `first` to before `end`. */
function edgeOf({ width, height, hole }: Canvas, first: number, end: number): number[] {
  const edge: number[] = [];
  for (let y = first; y < end; y++) {
    const above = Math.max(0, y - 1) * width;
    const below = Math.min(height - 1, y + 1) * width;
    for (let x = 0; x < width; x++) {
      const i = y * width + x;
      if (!hole[i]) continue;
      const left = x === 0 ? width - 1 : x - 1;
      const right = x + 1 === width ? 0 : x + 1;
      const missing =
        hole[above + left]! +
        hole[above + x]! +
        hole[above + right]! +
        hole[y * width + left]! +
        hole[y * width + right]! +
        hole[below + left]! +
        hole[below + x]! +
        hole[below + right]!;
      if (missing < 8) edge.push(i);
    }
  }
  return edge;
}

/** The neighbours of a pixel on the canvas, across longitude ±180°, and what each counts. */
function around(
  i: number,
  width: number,
  height: number,
): (readonly [index: number, weight: number])[] {
  const x = i % width;
  const y = (i - x) / width;
  const out: (readonly [number, number])[] = [];
  for (let dy = -1; dy <= 1; dy++) {
    if (y + dy < 0 || y + dy >= height) continue;
    for (let dx = -1; dx <= 1; dx++) {
      if (dx === 0 && dy === 0) continue;
      const n = (y + dy) * width + ((x + dx + width) % width);
      out.push([n, dx === 0 || dy === 0 ? 1 : CORNER]);
    }
  }
  return out;
}
