import { type ChartPicture, toDirection } from './chart.js';
import { type Direction, dot, unit } from './sphere.js';
import { depthOf } from './texture.js';

/** A pixel of a chart over which colours change most across a line, and where that line runs. */
export interface EdgePoint {
  /** On the edge, to a part of a pixel. */
  readonly at: Direction;
  /** Across the edge, at right angles to `at`: the pole of the great circle that touches it here. */
  readonly across: Direction;
  /** How colours change along `across`, code values a pixel. */
  readonly change: readonly [red: number, green: number, blue: number];
  readonly strength: number;
  /** Pixels from the hole. */
  readonly depth: number;
}

/** Code values a pixel below which a change is no edge. */
const FAINT = 2.5;

/**
 * The edges in the known part of a picture, thinned to a pixel's width. The direction of the change is
 * that of all channels together (Di Zenzo, "A Note on the Gradient of a Multi-Image", Computer Vision,
 * Graphics, and Image Processing 33, 1986); thinning is Canny's ("A Computational Approach to Edge
 * Detection", PAMI 8(6), 1986).
 */
export function edgePoints({ chart, rgb, known }: ChartPicture): EdgePoint[] {
  const { size } = chart;
  const depth = depthOf(
    Uint8Array.from(known, (k) => (k ? 0 : 1)),
    size,
  );
  const gx = new Float32Array(rgb.length);
  const gy = new Float32Array(rgb.length);
  const strength = new Float32Array(known.length);
  const angle = new Float32Array(known.length);
  for (let y = 1; y < size - 1; y++) {
    for (let x = 1; x < size - 1; x++) {
      const i = y * size + x;
      // Distances are by steps of a chamfer: 1.4 and less is a neighbour of the hole.
      if (!known[i] || depth[i]! < 1.5) continue;
      let xx = 0;
      let xy = 0;
      let yy = 0;
      for (let c = 0; c < 3; c++) {
        const at = (dx: number, dy: number) => rgb[3 * (i + dy * size + dx) + c]!;
        const sx = at(1, -1) + 2 * at(1, 0) + at(1, 1) - at(-1, -1) - 2 * at(-1, 0) - at(-1, 1);
        const sy = at(-1, 1) + 2 * at(0, 1) + at(1, 1) - at(-1, -1) - 2 * at(0, -1) - at(1, -1);
        gx[3 * i + c] = sx / 8;
        gy[3 * i + c] = sy / 8;
        xx += (sx / 8) ** 2;
        xy += (sx * sy) / 64;
        yy += (sy / 8) ** 2;
      }
      const spread = Math.hypot(xx - yy, 2 * xy);
      strength[i] = Math.sqrt((xx + yy + spread) / 6);
      angle[i] = 0.5 * Math.atan2(2 * xy, xx - yy);
    }
  }
  const points: EdgePoint[] = [];
  const d = new Float64Array(3);
  const beside = (x: number, y: number) => {
    const x0 = Math.floor(x);
    const y0 = Math.floor(y);
    const [fx, fy] = [x - x0, y - y0];
    const i = y0 * size + x0;
    return (
      (1 - fy) * ((1 - fx) * strength[i]! + fx * strength[i + 1]!) +
      fy * ((1 - fx) * strength[i + size]! + fx * strength[i + size + 1]!)
    );
  };
  for (let y = 2; y < size - 2; y++) {
    for (let x = 2; x < size - 2; x++) {
      const i = y * size + x;
      const m = strength[i]!;
      if (m < FAINT) continue;
      const ax = Math.cos(angle[i]!);
      const ay = Math.sin(angle[i]!);
      const before = beside(x - ax, y - ay);
      const after = beside(x + ax, y + ay);
      if (before > m || after >= m || before === 0 || after === 0) continue;
      const curve = before - 2 * m + after;
      const off = curve < 0 ? Math.max(-0.5, Math.min(0.5, (before - after) / (2 * curve))) : 0;
      toDirection(chart, x + 0.5 + off * ax, y + 0.5 + off * ay, d);
      const at: Direction = [d[0]!, d[1]!, d[2]!];
      toDirection(chart, x + 0.5 + (off + 0.1) * ax, y + 0.5 + (off + 0.1) * ay, d);
      const step: Direction = [d[0]! - at[0], d[1]! - at[1], d[2]! - at[2]];
      const out = dot(step, at);
      const across = unit([step[0] - out * at[0], step[1] - out * at[1], step[2] - out * at[2]]);
      const change = [0, 1, 2].map((c) => gx[3 * i + c]! * ax + gy[3 * i + c]! * ay);
      points.push({
        at,
        across,
        change: change as [number, number, number],
        strength: m,
        depth: depth[i]!,
      });
    }
  }
  return points;
}
