import type { Breathe } from '../breath.js';
import type { ChartPicture } from './chart.js';
import { type EdgePoint, edgePoints } from './edges.js';
import { cross, type Direction, dot, ontoCircle, opposite, unit } from './sphere.js';

/** A straight edge (a great circle) that the rim of a hole cuts. */
export interface LineEnd {
  /** Of the great circle. */
  readonly pole: Direction;
  /** The outermost known place on it. */
  readonly at: Direction;
  /** Along it into the hole; at right angles to `at`. */
  readonly inward: Direction;
  /** How far it may be followed outwards, radians. */
  readonly length: number;
  /** How colours change towards the pole, code values a pixel. */
  readonly change: readonly [number, number, number];
  /** The edges that it is made of. */
  readonly points: readonly EdgePoint[];
}

/** Pixels: how far an edge may lie off its line, and what it may miss along it. */
const OFF = 0.8;
const GAP = 3;
/** Cosine of how much an edge may lean against its line. */
const LEAN = Math.cos((22 * Math.PI) / 180);
/** Pixels from the hole within which an edge may begin, and the fewest that it must go on for. */
const AT_RIM = 5;
const SHORTEST = 6;
/** How far a line must lead away from the hole, as a share of its length. */
const OUTWARD = 0.25;
/** How many edges a line must have for each pixel of its length. */
const FILLED = 0.6;
/** Lines tried from each edge at the rim. */
const TRIES = 48;
/** Edges at the rim between breaths. */
const BREATH = 32;

/** Whether two changes of colour go the same way and are about as strong. */
const alike = (a: readonly number[], b: readonly number[], sign: number): boolean => {
  let ab = 0;
  let aa = 0;
  let bb = 0;
  for (let c = 0; c < 3; c++) {
    ab += sign * a[c]! * b[c]!;
    aa += a[c]! ** 2;
    bb += b[c]! ** 2;
  }
  return ab > 0.7 * Math.sqrt(aa * bb) && aa < 16 * bb && bb < 16 * aa;
};

/** The pole, near `pole`, of the great circle that lies nearest to edges, by least squares. */
export function fitPole(points: readonly EdgePoint[], pole: Direction): Direction {
  let n = pole;
  for (let round = 0; round < 3; round++) {
    const mid = unit(
      points.reduce<Direction>(
        (s, { at }) => [s[0] + at[0], s[1] + at[1], s[2] + at[2]],
        [0, 0, 0],
      ),
    );
    const q = unit(cross(n, mid));
    const p = cross(q, n);
    let [pp, pq, qq, np, nq] = [0, 0, 0, 0, 0];
    for (const { at, strength } of points) {
      const [a, b, e] = [dot(at, p), dot(at, q), dot(at, n)];
      const w = Math.min(strength, 20);
      pp += w * a * a;
      pq += w * a * b;
      qq += w * b * b;
      np += w * a * e;
      nq += w * b * e;
    }
    const det = pp * qq - pq * pq;
    if (Math.abs(det) < 1e-12 * pp * pp) return n;
    const s = -(np * qq - nq * pq) / det;
    const t = -(nq * pp - np * pq) / det;
    n = unit([n[0] + s * p[0] + t * q[0], n[1] + s * p[1] + t * q[1], n[2] + s * p[2] + t * q[2]]);
  }
  return n;
}

interface Found {
  readonly pole: Direction;
  readonly points: EdgePoint[];
  /** Radians from the first point. */
  readonly length: number;
}

/** Follows a line from `first`, towards what lies at angles t > 0 along it, as far as edges do. */
function follow(
  first: EdgePoint,
  pole: Direction,
  near: readonly EdgePoint[],
  outward: Direction,
  scale: number,
): Found {
  const tolerance = OFF / scale;
  const on: { t: number; point: EdgePoint }[] = [];
  const sign0 = dot(first.across, pole) > 0 ? 1 : -1;
  for (const point of near) {
    if (Math.abs(dot(point.at, pole)) > tolerance) continue;
    const cosine = dot(point.across, pole);
    if (Math.abs(cosine) < LEAN) continue;
    if (!alike(first.change, point.change, sign0 * Math.sign(cosine))) continue;
    on.push({ t: Math.atan2(dot(point.at, outward), dot(point.at, first.at)), point });
  }
  on.sort((a, b) => a.t - b.t);
  const points: EdgePoint[] = [];
  let end = 0;
  for (const { t, point } of on) {
    if (t < -GAP / scale) continue;
    if (t > end + GAP / scale) break;
    points.push(point);
    end = Math.max(end, t);
  }
  return { pole, points, length: end };
}

/** The best straight line from an edge at the rim through one farther out, `most` radians at most. */
function lineFrom(
  first: EdgePoint,
  all: readonly EdgePoint[],
  most: number,
  scale: number,
): Found | undefined {
  const least = Math.cos(most);
  const near = all.filter((p) => dot(p.at, first.at) > least);
  const far = near.filter((p) => {
    const angle = Math.acos(Math.min(1, dot(p.at, first.at)));
    if (angle * scale < SHORTEST || p.depth - first.depth < OUTWARD * angle * scale) return false;
    return Math.abs(dot(p.at, first.across)) < Math.sin(angle) * Math.sin(Math.acos(LEAN));
  });
  const step = Math.max(1, far.length / TRIES);
  let best: Found | undefined;
  for (let k = 0; k < far.length; k += step) {
    const other = far[Math.floor(k)]!;
    const pole = unit(cross(first.at, other.at));
    if (Math.abs(dot(pole, first.across)) < LEAN) continue;
    const along = unit(cross(pole, first.at));
    const outward = dot(along, other.at) > 0 ? along : opposite(along);
    const rough = follow(first, pole, near, outward, scale);
    if (rough.length * scale < SHORTEST) continue;
    const line = follow(first, fitPole(rough.points, pole), near, outward, scale);
    if (!best || score(line) > score(best)) best = line;
  }
  const pixels = best ? best.length * scale : 0;
  return best && pixels >= SHORTEST && best.points.length >= FILLED * pixels ? best : undefined;
}

/**
 * Finds the straight edges that a hole's rim cuts, the clearest first. They are followed `most` radians
 * outwards at most.
 */
export async function lineEnds(
  picture: ChartPicture,
  most: number,
  breathe: Breathe,
): Promise<LineEnd[]> {
  const { scale } = picture.chart;
  const all = edgePoints(picture);
  const atRim = all.filter((p) => p.depth <= AT_RIM);
  const found: { first: EdgePoint; line: Found }[] = [];
  for (const [n, first] of atRim.entries()) {
    if (n % BREATH === 0) await breathe();
    const line = lineFrom(first, all, most, scale);
    if (line) found.push({ first, line });
  }
  found.sort((a, b) => score(b.line) - score(a.line));
  const taken = new Set<EdgePoint>();
  const ends: LineEnd[] = [];
  for (const { first, line } of found) {
    const fresh = line.points.filter((p) => !taken.has(p));
    if (taken.has(first) || fresh.length < FILLED * line.points.length) continue;
    for (const p of line.points) taken.add(p);
    // Edges right beside it are its own, doubled by noise.
    for (const p of atRim) {
      const beside = Math.abs(dot(p.at, line.pole)) < 1.5 / scale;
      if (beside && dot(p.at, first.at) > Math.cos(4 / scale)) taken.add(p);
    }
    ends.push(endOf(line, first));
  }
  return ends;
}

const score = (f: Found): number => {
  let sum = 0;
  for (const p of f.points) sum += Math.min(p.strength, 10);
  return sum * Math.sqrt(f.length);
};

function endOf({ pole, points, length }: Found, first: EdgePoint): LineEnd {
  const at = ontoCircle(pole, first.at);
  const along = cross(pole, at);
  const last = points[points.length - 1]!;
  const change = [0, 0, 0];
  for (const p of points) {
    const sign = Math.sign(dot(p.across, pole));
    for (let c = 0; c < 3; c++) change[c]! += (sign * p.change[c]!) / points.length;
  }
  const inward = dot(along, last.at) > 0 ? opposite(along) : along;
  return { pole, at, inward, length, points, change: change as [number, number, number] };
}
