import type { Part } from '../master/decode/types.js';
import { type AtlasLayout, layOut, levelSize, pageOf, type Size } from './atlas.js';
import { polarReach } from './calm.js';
import type { Seen, SeenPart } from './seen.js';

/** The part of a master that some frames look up. */
export interface Portion {
  /** Of one page, with `part`. */
  readonly layout: AtlasLayout;
  /** What must be read of the master. */
  readonly source: Part;
  /** For each level what there is of it, and the rows that are looked up. */
  readonly levels: readonly { readonly box: Part; readonly rows: Range }[];
}

export interface Range {
  readonly first: number;
  /** The one after the last. */
  readonly end: number;
}

/** Texels round what is seen: a bicubic lookup reaches two. */
const MARGIN = 3;
/** More columns than this share of all, and it is all. */
const NEARLY_ALL = 0.85;
const NOTHING: Range = { first: Number.POSITIVE_INFINITY, end: Number.NEGATIVE_INFINITY };

/** @param size of the master, in texels */
export function portionOf(size: Size, seen: Seen): Portion {
  const whole = layOut(size.width, size.height, Number.POSITIVE_INFINITY, 1)!;
  const all = seen.parts.map((part) => ({ part, ...levelsOf(part, whole) }));
  const levels = Math.max(...all.map(({ last }) => last)) + 1;
  const sizes = Array.from({ length: levels }, (_, level) => levelSize(whole, level));
  const rows = sizes.map((level, index) =>
    all
      .filter(({ first, last }) => first <= index && index <= last)
      .map(({ part }) => rowsOf(part, level))
      .reduce(union, NOTHING),
  );
  // Exact halves of halves, so that each level's first texel is one of the finer's.
  const unit = levels < 2 ? 1 : 2 ** (levels - 2);
  const level1 = sizes[1] ?? sizes[0]!;
  const ratio = size.height / level1.height;
  const asLevel1 = rows.map(({ first, end }, level): Range => {
    const scale = level === 0 ? 1 / ratio : 2 ** (level - 1);
    return { first: first * scale, end: end * scale };
  });
  const high = aligned(asLevel1.reduce(union), unit, level1.height);
  const isExact = levels < 2 || (size.width === 2 * level1.width && ratio === 2);
  const wide = isExact ? columnsOf(seen, rows, sizes, unit) : { first: 0, end: level1.width };
  const box1: Part = {
    ...{ x: wide.first, width: wide.end - wide.first },
    ...{ y: high.first, height: high.end - high.first },
  };
  const source = sourceOf(box1, size, level1);
  const top = rows[0]!.end > rows[0]!.first ? rows[0]! : { first: source.y, end: source.y + 1 };
  const boxes = sizes.map((_, level): Part => {
    if (level === 0) return { ...source, y: top.first, height: top.end - top.first };
    const scale = 2 ** (level - 1);
    const { x, y, width, height } = box1;
    return { x: x / scale, y: y / scale, width: width / scale, height: height / scale };
  });
  const tile = { width: boxes[0]!.width, height: boxes[0]!.height };
  const tile1 = { width: box1.width, height: box1.height };
  const part = { first: boxes[0]!, first1: box1, whole1: level1 };
  return {
    layout: { ...whole, levels, tile, tile1, page: pageOf(tile, tile1, levels), part },
    source,
    levels: boxes.map((box, level) => ({ box, rows: rows[level]! })),
  };
}

/** How many levels frames need, from the finest on. */
export const levelsNeeded = (size: Size, seen: Seen): number =>
  Math.max(...seen.parts.map((part) => lastLevel(part, size))) + 1;

function levelsOf(part: SeenPart, { width, height, levels }: AtlasLayout) {
  const finest = Math.floor(Math.log2(height / Math.PI / part.most));
  const last = Math.min(levels - 1, lastLevel(part, { width, height }));
  return { first: Math.min(last, Math.max(0, finest)), last };
}

/** The coarsest level of which anything is mixed in. */
function lastLevel({ least }: SeenPart, { height }: Size): number {
  const level = Math.log2(height / Math.PI / least);
  return level <= 0 ? 0 : Math.floor(level) + 1;
}

function rowsOf({ top, bottom }: SeenPart, { height }: Size): Range {
  const row = (down: number) => (down / Math.PI) * height;
  return {
    first: Math.max(0, Math.floor(row(top)) - MARGIN),
    end: Math.min(height, Math.ceil(row(bottom)) + MARGIN),
  };
}

/** Of level 1, or of the only one. */
function columnsOf(
  { parts }: Seen,
  rows: readonly Range[],
  sizes: readonly Size[],
  unit: number,
): Range {
  const { width } = sizes[1] ?? sizes[0]!;
  const all = { first: 0, end: width };
  // Near the poles a texel holds the mean of a row's texels round it, at each level of as many.
  const reach = rows.map(({ first, end }, level) =>
    end < first
      ? 0
      : Math.max(polarReach(first, sizes[level]!), polarReach(end - 1, sizes[level]!)),
  );
  const margin = ((MARGIN + Math.max(...reach)) * 2 * Math.PI) / sizes.at(-1)!.width;
  const arc = arcOver(parts);
  const across = arc.across + 2 * margin;
  if (across > NEARLY_ALL * 2 * Math.PI) return all;
  const texels = width / (2 * Math.PI);
  const first = Math.floor(((arc.left - margin) * texels) / unit) * unit;
  const count = Math.ceil((arc.left - margin + across) * texels - first);
  const wide = Math.ceil(count / unit) * unit;
  const start = (first + width) % width;
  return wide >= width ? all : { first: start, end: start + wide };
}

/** The shortest arc round the master over all parts; their gaps are looked at in steps. */
function arcOver(parts: readonly SeenPart[]): { left: number; across: number } {
  const steps = 720;
  const step = (2 * Math.PI) / steps;
  const taken = new Uint8Array(steps);
  for (const { left, across } of parts) {
    const count = Math.min(steps, Math.ceil(across / step) + 1);
    for (let i = 0; i < count; i++) taken[(Math.floor(left / step) + i) % steps] = 1;
  }
  let [longest, after] = [0, 0];
  for (let i = 0, free = 0; i < 2 * steps; i++) {
    free = taken[i % steps] ? 0 : free + 1;
    if (free > longest) [longest, after] = [free, i + 1];
  }
  return { left: (after % steps) * step, across: (steps - longest) * step };
}

function sourceOf(box1: Part, { width, height }: Size, level1: Size): Part {
  const [across, down] = [width / level1.width, height / level1.height];
  const y = Math.floor(box1.y * down);
  const x = Math.floor(box1.x * across);
  return {
    ...{ x, y },
    width: Math.min(width, Math.ceil((box1.x + box1.width) * across) - x),
    height: Math.min(height, Math.ceil((box1.y + box1.height) * down)) - y,
  };
}

const union = (a: Range, b: Range): Range => ({
  first: Math.min(a.first, b.first),
  end: Math.max(a.end, b.end),
});

const aligned = ({ first, end }: Range, unit: number, most: number): Range => ({
  first: Math.floor(first / unit) * unit,
  end: Math.min(most, Math.ceil(end / unit) * unit),
});
