import { boundingCap, labelRegions } from './regions.js';
import { angleBetween, type Direction, grid, unit } from './sphere.js';
import type { Canvas } from './types.js';

/** One connected hole of the sphere. Angles in radians. */
export interface Hole {
  readonly label: number;
  /** The centre of a small cap that holds the hole; the pole itself for a cap hole. */
  readonly centre: Direction;
  /** From the centre to beyond the farthest pixel. */
  readonly radius: number;
  /** Whether the centre is a pole: 1 zenith, -1 nadir, 0 neither. */
  readonly pole: -1 | 0 | 1;
  readonly solidAngle: number;
  readonly pixels: number;
}

/** Holes found on a coarse grid; cell (i, j) covers the canvas pixels that `cellOf` maps to it. */
export interface HoleMap {
  readonly width: number;
  readonly height: number;
  /** 0 known, otherwise the label of a hole. */
  readonly labels: Uint32Array;
  readonly holes: readonly Hole[];
}

/** Coarsest grid that keeps separate holes apart where it matters; about 0.18 degrees a cell. */
export const LABEL_WIDTH = 2048;

/** Per canvas column or row, the cell of the coarse grid. */
export function cellOf(length: number, cells: number): Uint32Array {
  return Uint32Array.from({ length }, (_, i) =>
    Math.min(cells - 1, Math.floor((i * cells) / length)),
  );
}

/** Finds the holes of a canvas, largest first. */
export function findHoles(canvas: Canvas): HoleMap {
  const width = Math.min(LABEL_WIDTH, canvas.width);
  const height = Math.max(1, Math.round(width / 2));
  const columns = cellOf(canvas.width, width);
  const rows = cellOf(canvas.height, height);
  const counts = new Uint32Array(width * height);
  for (let y = 0; y < canvas.height; y++) {
    const own = canvas.hole.subarray(y * canvas.width, (y + 1) * canvas.width);
    const row = rows[y]! * width;
    // Most rows have none, which is told far quicker at once.
    for (let x = own.indexOf(1); x >= 0 && x < own.length; x++) {
      if (own[x]) counts[row + columns[x]!]!++;
    }
  }
  const flags = Uint8Array.from(counts, (n) => (n > 0 ? 1 : 0));
  const { labels, count } = labelRegions(flags, width, height);
  const members = Array.from({ length: count }, newMember);
  const perCell = (canvas.width / width) * (canvas.height / height);
  eachCell(labels, width, height, (label, i, j, d) => {
    const member = members[label - 1]!;
    const n = counts[j * width + i]!;
    const area = (zoneArea(j, height) / width) * (n / perCell);
    member.pixels += n;
    member.area += area;
    for (const k of [0, 1, 2] as const) member.sum[k] += area * d[k];
    if (j === 0) member.poles.add(1);
    if (j === height - 1) member.poles.add(-1);
    if (member.area < HALF_SPHERE && onEdge(labels, width, height, i, j)) member.edge.push(d);
  });
  const caps = members.map(capOf);
  const radii = new Float64Array(count);
  eachCell(labels, width, height, (label, _i, _j, d) => {
    radii[label - 1] = Math.max(radii[label - 1]!, angleBetween(caps[label - 1]!.centre, d));
  });
  const holes = members.map((member, index) => ({
    label: index + 1,
    ...caps[index]!,
    radius: radii[index]! + Math.PI / height,
    solidAngle: member.area,
    pixels: member.pixels,
  }));
  return { width, height, labels, holes: holes.sort((a, b) => b.solidAngle - a.solidAngle) };
}

interface Member {
  readonly edge: Direction[];
  readonly sum: [number, number, number];
  readonly poles: Set<1 | -1>;
  area: number;
  pixels: number;
}

const newMember = (): Member => ({
  edge: [],
  sum: [0, 0, 0],
  poles: new Set(),
  area: 0,
  pixels: 0,
});

/** Holes past this are too large for a smallest cap around their edge: it might be the known part's. */
const HALF_SPHERE = 0.8 * 2 * Math.PI;

function eachCell(
  labels: Uint32Array,
  width: number,
  height: number,
  visit: (label: number, i: number, j: number, d: Direction) => void,
): void {
  const { sinLongitude, cosLongitude, sinLatitude, cosLatitude } = grid(width, height);
  for (let j = 0; j < height; j++) {
    for (let i = 0; i < width; i++) {
      const label = labels[j * width + i]!;
      if (label === 0) continue;
      const c = cosLatitude[j]!;
      visit(label, i, j, [c * sinLongitude[i]!, sinLatitude[j]!, -c * cosLongitude[i]!]);
    }
  }
}

/** Solid angle of one row of cells all round. */
function zoneArea(j: number, height: number): number {
  return 2 * Math.PI * (Math.cos((j / height) * Math.PI) - Math.cos(((j + 1) / height) * Math.PI));
}

/** Inner cells cannot be the farthest from a centre: a hole's own edge is enough. */
function onEdge(labels: Uint32Array, width: number, height: number, i: number, j: number): boolean {
  const row = j * width;
  const atPole = j === 0 || j === height - 1;
  const east = row + (i + 1 === width ? 0 : i + 1);
  const west = row + (i === 0 ? width - 1 : i - 1);
  if (!(labels[east] && labels[west])) return true;
  // A whole row at a pole stands for one point: a few of its cells will do.
  return atPole ? i % 64 === 0 : !(labels[row + i - width] && labels[row + i + width]);
}

/** The centre: of the smallest cap, or of gravity of a very large hole; a pole where that does as well. */
function capOf(member: Member): { centre: Direction; pole: -1 | 0 | 1 } {
  const large = member.area >= HALF_SPHERE;
  const { centre, radius } = large
    ? { centre: unit(member.sum), radius: Math.PI / 2 }
    : boundingCap(member.edge);
  if (member.poles.size !== 1) return { centre, pole: 0 };
  const pole = member.poles.has(1) ? 1 : -1;
  const axis: Direction = [0, pole, 0];
  const around = large
    ? angleBetween(axis, centre) + radius
    : Math.max(...member.edge.map((p) => angleBetween(axis, p)));
  return around < 1.3 * radius + (2 * Math.PI) / LABEL_WIDTH
    ? { centre: axis, pole }
    : { centre, pole: 0 };
}
