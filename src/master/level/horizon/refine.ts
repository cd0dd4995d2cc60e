import { asinClamped, degrees, radians } from '../../../math.js';
import type { Ray } from '../../../projection/types.js';
import type { Edges } from './edges.js';
import { SECTORS, sectorsOf } from './votes.js';

/** A zenith, and how sure the edges are of it. */
export interface Refined {
  readonly zenith: Ray;
  /** Degrees above the horizon of the circle that the edges follow; 0 for vertical edges. */
  readonly height: number;
  /** Standard error in degrees, by leaving out an eighth of the way round at a time. */
  readonly error: number;
}

/** Which equation an edge gives: its weight and the vector that the zenith is square to, offset aside. */
type Kind = 'vertical' | 'level';

const PARTS = 8;
const STEPS = 24;

/** Widths in radians from which and to which the weights narrow. */
const WIDTHS: Readonly<Record<Kind, readonly [number, number]>> = {
  vertical: [0.04, 0.015],
  level: [0.05, 0.017],
};
const ASLANT = 0.1;

/**
 * The zenith that suits the edges near it best: least squares with weights that fall off with the misfit
 * (Welsch's M-estimator; Holland, Welsch, "Robust regression using iteratively reweighted least-squares",
 * Communications in Statistics A6, 1977), the width narrowing from step to step. The error is the
 * jackknife's (Quenouille, Biometrika 43, 1956) over sides of the sphere, since pixels of one thing err together.
 */
export function refine(edges: Edges, kind: Kind, start: Ray, height: number): Refined | undefined {
  const sectors = sectorsOf(edges);
  const [wide, narrow] = WIDTHS[kind];
  let found: Solved = { zenith: start, offset: Math.sin(radians(height)) };
  let parts: Float64Array[] = [];
  for (let step = 0; step < STEPS; step++) {
    const width = wide * (narrow / wide) ** Math.min(1, step / (STEPS / 2));
    parts = Array.from({ length: PARTS }, () => new Float64Array(9));
    for (let i = 0; i < edges.count; i++) {
      const part = parts[Math.floor((sectors[i]! * PARTS) / SECTORS)]!;
      addEquation(part, edges, i, kind, found, width);
    }
    const solved = solveFor(total(parts, -1), kind);
    if (solved === undefined) return undefined;
    found = solved;
  }
  const without = parts.map((_, part) => solveFor(total(parts, part), kind)?.zenith ?? start);
  const mean = [0, 1, 2].map((c) => without.reduce((sum, ray) => sum + ray[c]!, 0) / PARTS);
  let spread = 0;
  for (const ray of without) for (let c = 0; c < 3; c++) spread += (ray[c]! - mean[c]!) ** 2;
  return {
    zenith: found.zenith,
    height: degrees(asinClamped(found.offset)),
    error: degrees(Math.sqrt(((PARTS - 1) / PARTS) * spread)),
  };
}

interface Solved {
  readonly zenith: Ray;
  /** Sine of the circle's height. */
  readonly offset: number;
}

function total(parts: readonly Float64Array[], without: number): Float64Array {
  const sums = new Float64Array(9);
  for (const [part, own] of parts.entries()) {
    if (part !== without) for (let k = 0; k < 9; k++) sums[k]! += own[k]!;
  }
  return sums;
}

/** Adds a weighted equation a x + b z - s = -c, of the zenith (x, 1, z) before it is made a unit, to the normal ones. */
function addEquation(
  sums: Float64Array,
  { places, normals, weights }: Edges,
  i: number,
  kind: Kind,
  { zenith: [x, y, z], offset }: Solved,
  width: number,
): void {
  const n = 3 * i;
  const along = normals[n]! * x + normals[n + 1]! * y + normals[n + 2]! * z;
  let misfit = along;
  let from = normals;
  let weight = weights[i]!;
  if (kind === 'level') {
    if (along < 0.95) return;
    from = places;
    misfit = places[n]! * x + places[n + 1]! * y + places[n + 2]! * z - offset;
    weight *= Math.exp(-(1 - along) / ASLANT ** 2);
  }
  if (Math.abs(misfit) > 3 * width) return;
  weight *= Math.exp(-0.5 * (misfit / width) ** 2);
  const [a, b, c] = [from[n]!, from[n + 2]!, from[n + 1]!];
  sums[0]! += weight * a * a;
  sums[1]! += weight * a * b;
  sums[2]! += weight * b * b;
  sums[3]! -= weight * a * c;
  sums[4]! -= weight * b * c;
  // The offset's own row: its factor is -1.
  sums[5]! -= weight * a;
  sums[6]! -= weight * b;
  sums[7]! += weight;
  sums[8]! += weight * c;
}

function solveFor(sums: Float64Array, kind: Kind): Solved | undefined {
  let [aa, ab, bb, ac, bc, as, bs, ss, cs] = sums as unknown as [
    ...[number, number, number, number, number],
    ...[number, number, number, number],
  ];
  if (!(ss > 0)) return undefined;
  if (kind === 'level') {
    // Without the offset, which is solved for last: s = (cs - as x - bs z) / ss.
    aa -= (as * as) / ss;
    ab -= (as * bs) / ss;
    bb -= (bs * bs) / ss;
    ac -= (as * cs) / ss;
    bc -= (bs * cs) / ss;
  }
  const determinant = aa * bb - ab * ab;
  if (!(determinant > 1e-6 * ss * ss)) return undefined;
  const x = (ac * bb - bc * ab) / determinant;
  const z = (bc * aa - ac * ab) / determinant;
  const length = Math.hypot(x, 1, z);
  const offset = kind === 'level' ? (cs - as * x - bs * z) / ss / length : 0;
  return { zenith: [x / length, 1 / length, z / length], offset };
}
