import { smoothStep } from '../../math.js';
import { amount, angleOn, type Line, pointOn } from './lines.js';
import { addSample } from './sample.js';
import { type Direction, dot } from './sphere.js';
import type { Canvas } from './types.js';

/** Colours across a line in even steps, from `wide` on its pole's far side to `wide` on its near one. */
export interface Profile {
  /** RGB interleaved, 8-bit code values. */
  readonly rgb: Float64Array;
  /** Radians. */
  readonly step: number;
}

/** A line and the colours across it where it enters the hole, and where it leaves. */
export interface Ribbon {
  readonly line: Line;
  readonly first: Profile;
  readonly last: Profile;
  /** Half its width, radians. */
  readonly wide: number;
}

/** Whether all pixels that a sample in this direction is read from are known. */
function isKnown({ width, height, hole }: Canvas, d: Direction): boolean {
  const u = Math.floor((Math.atan2(d[0], -d[2]) / (2 * Math.PI) + 0.5) * width - 0.5);
  const v = Math.floor((0.5 - Math.asin(Math.max(-1, Math.min(1, d[1]))) / Math.PI) * height - 0.5);
  for (let y = Math.max(0, v - 1); y <= Math.min(height - 1, v + 2); y++) {
    for (let x = u - 1; x <= u + 2; x++) if (hole[y * width + ((x + width) % width)]) return false;
  }
  return true;
}

/** A place beside a line, `s` radians off it towards its pole. */
function beside(line: Line, t: number, s: number): Direction {
  const d = pointOn(line, t);
  const [c, n] = [Math.cos(s), Math.sin(s)];
  const { pole } = line;
  return [c * d[0] + n * pole[0], c * d[1] + n * pole[1], c * d[2] + n * pole[2]];
}

/** The mean colours across a line from angle `from` to `to` along it; undefined where some are not known. */
function profile(
  canvas: Canvas,
  line: Line,
  [from, to]: readonly [number, number],
  wide: number,
): Profile | undefined {
  const pixel = (2 * Math.PI) / canvas.width;
  const half = Math.ceil((2 * wide) / pixel);
  const step = wide / half;
  const rgb = new Float64Array(3 * (2 * half + 1));
  const total = Math.max(1, Math.ceil(Math.abs(to - from) / pixel));
  const sum = new Float64Array(3);
  for (let k = -half; k <= half; k++) {
    let count = 0;
    sum.fill(0);
    for (let n = 0; n <= total; n++) {
      const d = beside(line, from + ((to - from) * n) / total, k * step);
      if (!isKnown(canvas, d)) continue;
      count++;
      addSample(canvas, d[0], d[1], d[2], 1, sum);
    }
    if (count === 0) return undefined;
    for (let c = 0; c < 3; c++) rgb[3 * (k + half) + c] = sum[c]! / count;
  }
  return { rgb, step };
}

/** Pixels of the chart from the rim at which a profile begins, and the least along which it is taken. */
const CLEAR = 1.5;
const LEAST = 8;
/** Radians. */
const TAKEN = (4 * Math.PI) / 180;

/** Takes the colours across each line from the canvas; those that cannot be told go without. */
export function ribbonsOf(
  canvas: Canvas,
  lines: readonly Line[],
  pixel: number,
  wide: number,
): Ribbon[] {
  return lines.flatMap((line): Ribbon[] => {
    const taken = (length: number) => Math.min(length, Math.max(LEAST * pixel, TAKEN));
    const near = profile(canvas, line, [-CLEAR * pixel, -taken(line.before)], wide);
    const far =
      line.after > 0
        ? profile(canvas, line, [line.end + CLEAR * pixel, line.end + taken(line.after)], wide)
        : near;
    const first = near ?? far;
    const last = far ?? near;
    return first && last ? [{ line, first, last, wide }] : [];
  });
}

/** The colour of a profile at `s` radians off the line. */
export function across({ rgb, step }: Profile, s: number, c: number): number {
  const half = (rgb.length / 3 - 1) / 2;
  const k = Math.max(0, Math.min(2 * half - 1e-6, s / step + half));
  const k0 = Math.floor(k);
  return (1 - (k - k0)) * rgb[3 * k0 + c]! + (k - k0) * rgb[3 * k0 + 3 + c]!;
}

/** What a profile has beyond the even slope between its two ends. */
function beyond(profile: Profile, s: number, wide: number, c: number): number {
  const m = (s + wide) / (2 * wide);
  const last = profile.rgb.length - 3;
  return across(profile, s, c) - (1 - m) * profile.rgb[c]! - m * profile.rgb[last + c]!;
}

/** The share of a line's way through the hole at an angle along it. */
export const shareOfWay = ({ end, after }: Line, t: number): number =>
  after > 0 ? Math.min(1, Math.max(0, t / end)) : 0;

/**
 * Adds what ribbons come to in a direction to out[0..2], 8-bit code values: what stands out from the
 * slope across each. Where several lie over each other, each counts by how near its line is.
 */
export function addRibbons(ribbons: readonly Ribbon[], d: Direction, out: Float64Array): void {
  let shares = 0;
  const sum = [0, 0, 0];
  for (const { line, first, last, wide } of ribbons) {
    const sine = dot(d, line.pole);
    if (Math.abs(sine) >= wide) continue;
    const s = Math.asin(sine);
    const t = angleOn(line, d);
    const own = 1 - smoothStep(Math.abs(s) / wide);
    const w = own * amount(line, t);
    if (w <= 0) continue;
    shares += own;
    const m = shareOfWay(line, t);
    for (let c = 0; c < 3; c++) {
      sum[c]! += w * ((1 - m) * beyond(first, s, wide, c) + m * beyond(last, s, wide, c));
    }
  }
  if (shares > 0) for (let c = 0; c < 3; c++) out[c]! += sum[c]! / shares;
}
