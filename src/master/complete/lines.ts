import { smoothStep } from '../../math.js';
import { type ChartPicture, toPlane } from './chart.js';
import { fitPole, type LineEnd } from './lineEnds.js';
import { cross, type Direction, dot, ontoCircle, opposite } from './sphere.js';
import { DEGREE } from './surroundings.js';

/**
 * A straight edge right across a hole, or some way into it: an arc of the great circle with this pole.
 * Angles along it, in radians, count from `at`, where it enters, towards `along`.
 */
export interface Line {
  readonly pole: Direction;
  readonly at: Direction;
  readonly along: Direction;
  /** Where it leaves the hole, or ends in it; where it begins to fade: `end` where it does not. */
  readonly end: number;
  readonly fade: number;
  /** How far it may be followed beyond its ends; 0 where it ends in the hole. */
  readonly before: number;
  readonly after: number;
  /** Whether it is an edge of a strip whose other edge goes across as well. */
  readonly strip: boolean;
}

/** What two ends must have to be one line. Pixels are a chart's, contrasts code values a pixel. */
const PAIR = {
  /** Root mean square of how far their edges lie off their common great circle, pixels. */
  off: 0.4,
  /** How much more where they are as long as, or longer than, the gap between them. */
  offShort: 0.15,
  /** Both must be so long, one of them so long, and both together this share of the gap. */
  short: { pixels: 6, angle: 3.5 * DEGREE },
  long: { pixels: 11, angle: 6 * DEGREE },
  cover: 0.28,
  contrast: 3,
  /** Cosine between their changes of colour, and how many times one may be the other. */
  alike: 0.9,
  ratio: 2.2,
};

/** What an end must have to go on alone. What stands out by more is a lamp or a window, which ends. */
const ALONE = { off: 0.35, pixels: 14, angle: 9 * DEGREE, contrast: 6, most: 50 };
/** How far it then goes, as a share of its length and of its way through the hole, and where it begins to fade. */
const ON = { length: 1, way: 0.5, fade: 0.4 };

/** Two edges this near are those of a strip, if they change the other way round. */
const STRIP = 8 * DEGREE;
/** Lines that meet at less do not end where they do. */
const MEETING = 12 * DEGREE;

export function pointOn({ at, along }: Pick<Line, 'at' | 'along'>, t: number): Direction {
  const [c, s] = [Math.cos(t), Math.sin(t)];
  return [c * at[0] + s * along[0], c * at[1] + s * along[1], c * at[2] + s * along[2]];
}

/** The angle along a line of what lies nearest to a direction on it. */
export const angleOn = ({ at, along }: Pick<Line, 'at' | 'along'>, d: Direction): number =>
  Math.atan2(dot(d, along), dot(d, at));

/** How much of a line there is at an angle along it: 1 in the hole, unless it fades; less beyond. */
export function amount(line: Line, t: number): number {
  if (t < 0) return smoothStep((line.before + t) / (0.5 * line.before));
  if (t <= line.end) {
    return line.fade < line.end ? smoothStep((line.end - t) / (line.end - line.fade)) : 1;
  }
  return line.after > 0 ? smoothStep((line.after + line.end - t) / (0.5 * line.after)) : 0;
}

const contrast = (end: LineEnd) => Math.hypot(...end.change) / Math.sqrt(3);

/** The cosine between two ends' changes of colour, as seen from the first one's pole. */
function likeness(a: LineEnd, b: LineEnd): number {
  const sign = Math.sign(dot(a.pole, b.pole));
  const product = a.change.reduce((sum, v, c) => sum + v * b.change[c]!, 0);
  return (sign * product) / (Math.hypot(...a.change) * Math.hypot(...b.change));
}

const within = (a: number, b: number, times: number) => a < times * b && b < times * a;

function begin(end: LineEnd, pole: Direction): Pick<Line, 'pole' | 'at' | 'along'> {
  const at = ontoCircle(pole, end.at);
  const along = cross(pole, at);
  return { pole, at, along: dot(along, end.inward) < 0 ? opposite(along) : along };
}

/** Where a line leaves the hole; undefined where it hardly enters, or leaves the chart first. */
function exitOf(
  line: Pick<Line, 'at' | 'along'>,
  { chart, known }: ChartPicture,
): number | undefined {
  const step = 0.5 / chart.scale;
  let entered = false;
  for (let t = step; t < Math.PI; t += step) {
    const [x, y] = toPlane(chart, pointOn(line, t));
    const [i, j] = [Math.floor(x), Math.floor(y)];
    if (i < 0 || j < 0 || i >= chart.size || j >= chart.size) return undefined;
    if (!known[j * chart.size + i]) entered = true;
    else if (entered) return t;
    else if (t * chart.scale > 8) return undefined;
  }
  return undefined;
}

const missOf = (end: LineEnd, pole: Direction): number =>
  Math.sqrt(end.points.reduce((sum, p) => sum + dot(p.at, pole) ** 2, 0) / end.points.length);

interface Pair {
  readonly a: LineEnd;
  readonly b: LineEnd;
  readonly line: Line;
  readonly score: number;
}

function pairOf(a: LineEnd, b: LineEnd, picture: ChartPicture): Pair | undefined {
  const { scale } = picture.chart;
  const shorter = Math.min(a.length, b.length);
  const longer = Math.max(a.length, b.length);
  const fainter = Math.min(contrast(a), contrast(b));
  if (longer < Math.max(PAIR.long.pixels / scale, PAIR.long.angle)) return undefined;
  if (shorter < Math.max(PAIR.short.pixels / scale, PAIR.short.angle)) return undefined;
  if (fainter < PAIR.contrast || !within(contrast(a), contrast(b), PAIR.ratio)) return undefined;
  if (Math.abs(dot(a.pole, b.pole)) < 0.8 || likeness(a, b) < PAIR.alike) return undefined;
  const pole = fitPole([...a.points, ...b.points], a.pole);
  const line = begin(a, pole);
  const end = exitOf(line, picture);
  if (end === undefined || dot(b.inward, line.along) > 0) return undefined;
  if (Math.abs(angleOn(line, b.at) - end) > 8 / scale + 0.1 * end) return undefined;
  const cover = (a.length + b.length) / end;
  const allowed = PAIR.off + PAIR.offShort * Math.max(0, Math.min(1, cover - 0.5));
  const miss = Math.max(missOf(a, pole), missOf(b, pole)) * scale;
  if (cover < PAIR.cover || miss > allowed) return undefined;
  const score = (shorter + 0.3 * longer) * Math.exp(-((miss / PAIR.off) ** 2)) * Math.sqrt(fainter);
  const ends = { before: a.length, after: b.length };
  return { a, b, score, line: { ...line, end, fade: end, ...ends, strip: false } };
}

function isStrip(p: Pair, q: Pair): boolean {
  const against = (x: LineEnd, y: LineEnd) =>
    x !== y &&
    dot(x.at, y.at) > Math.cos(STRIP) &&
    likeness(x, y) < -0.5 &&
    within(contrast(x), contrast(y), 3);
  return (against(p.a, q.a) && against(p.b, q.b)) || (against(p.a, q.b) && against(p.b, q.a));
}

/**
 * Makes lines of ends. Two that lie on one great circle, and look alike, are one line right across the
 * hole. With `alone`, a long one without a partner goes on some way, fading, or to where it meets another.
 */
export function linesOf(
  ends: readonly LineEnd[],
  picture: ChartPicture,
  alone: boolean,
): readonly Line[] {
  const possible = ends.flatMap((a, n) =>
    ends.slice(n + 1).flatMap((b) => pairOf(a, b, picture) ?? []),
  );
  possible.sort((p, q) => q.score - p.score);
  const used = new Set<LineEnd>();
  const pairs: Pair[] = [];
  for (const pair of possible) {
    if (used.has(pair.a) || used.has(pair.b)) continue;
    used.add(pair.a).add(pair.b);
    pairs.push(pair);
  }
  const all = pairs.map((p) => ({ ...p.line, strip: pairs.some((q) => isStrip(p, q)) }));
  // Edges seldom cross; strips may lie over each other.
  const lines = all.filter((line) => line.strip);
  for (const line of all) {
    if (!line.strip && !lines.some((other) => meetingOf(line, other) !== undefined))
      lines.push(line);
  }
  if (!alone) return lines;
  const others = ends.filter((end) => !used.has(end)).flatMap((end) => goingOn(end, picture) ?? []);
  return [...lines, ...others.map((line) => stopped(line, [...lines, ...others]))];
}

function goingOn(end: LineEnd, picture: ChartPicture): Line | undefined {
  const { scale } = picture.chart;
  if (end.length < Math.max(ALONE.pixels / scale, ALONE.angle)) return undefined;
  if (contrast(end) < ALONE.contrast || contrast(end) > ALONE.most) return undefined;
  if (missOf(end, end.pole) * scale > ALONE.off) return undefined;
  const line = begin(end, end.pole);
  const exit = exitOf(line, picture);
  if (exit === undefined) return undefined;
  const way = Math.min(ON.length * end.length, ON.way * exit);
  return { ...line, end: way, fade: ON.fade * way, before: end.length, after: 0, strip: false };
}

/** Where a line first meets another in the hole, as an angle along it. */
function meetingOf(line: Line, other: Line): number | undefined {
  const x = cross(line.pole, other.pole);
  const sine = Math.hypot(...x);
  if (sine < Math.sin(MEETING)) return undefined;
  const angles = [sine, -sine].flatMap((n) => {
    const d: Direction = [x[0] / n, x[1] / n, x[2] / n];
    const t = angleOn(line, d);
    const u = angleOn(other, d);
    return t > 0.01 && t < line.end && u > 0 && u < other.end ? [t] : [];
  });
  return angles.length > 0 ? Math.min(...angles) : undefined;
}

/** Ends a line where it first meets another. */
function stopped(line: Line, others: readonly Line[]): Line {
  const end = Math.min(...others.flatMap((other) => meetingOf(line, other) ?? []));
  return end < line.end ? { ...line, end, fade: end } : line;
}
