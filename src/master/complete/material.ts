import { type Cells, cellsOf, FEATURES } from './cells.js';
import type { Hole } from './holes.js';
import { generator } from './random.js';
import { angleBetween } from './sphere.js';
import type { Canvas } from './types.js';

/** Where on the sphere texture may be taken from, on a coarse grid: 1 suits, 0 does not. */
export interface Material {
  readonly width: number;
  readonly height: number;
  readonly suits: Uint8Array;
}

export function suitsAt(material: Material, d: ArrayLike<number>): number {
  const { width, height, suits } = material;
  const i = Math.floor((Math.atan2(d[0]!, -d[2]!) / (2 * Math.PI) + 0.5) * width);
  const j = Math.floor((0.5 - Math.asin(Math.min(1, Math.max(-1, d[1]!))) / Math.PI) * height);
  return suits[Math.min(height - 1, j) * width + Math.min(width - 1, i)]!;
}

function pick(indices: number[], count: number, random: () => number): number[] {
  if (indices.length <= count) return indices;
  return Array.from({ length: count }, () => indices[Math.floor(random() * indices.length)]!);
}

/** Share of the circle within which samples do not count: a tower is like no rim but its own. */
const APART = 15 / 360;

function density(cells: Cells, i: number, samples: readonly number[], apart = 0): number {
  const { width } = cells;
  let sum = 0;
  for (const s of samples) {
    const across = Math.abs((i % width) - (s % width));
    if (Math.min(across, width - across) < apart) continue;
    let d = 0;
    for (let k = 0; k < FEATURES; k++) {
      d += (cells.feature[i * FEATURES + k]! - cells.feature[s * FEATURES + k]!) ** 2;
    }
    if (d < 16) sum += Math.exp(-d / 2);
  }
  return sum / samples.length;
}

/** The cells to the right and left, all round, and above and below. */
function beside({ width, height }: Cells, i: number): number[] {
  const x = i % width;
  const row = i - x;
  const around = [row + ((x + 1) % width), row + ((x + width - 1) % width), i - width, i + width];
  return around.filter((n) => n >= 0 && n < width * height);
}

/** Grows from the rim's cells over cells that pass, so that a lake that mirrors the sky stays out. */
function flood(cells: Cells, seeds: readonly number[], pass: Uint8Array): Uint8Array {
  const { width, height } = cells;
  const reached = new Uint8Array(width * height);
  const queue = seeds.filter((i) => pass[i]);
  for (const i of queue) reached[i] = 1;
  for (let i = queue.pop(); i !== undefined; i = queue.pop()) {
    for (const n of beside(cells, i)) {
      if (reached[n] || !pass[n]) continue;
      reached[n] = 1;
      queue.push(n);
    }
  }
  return reached;
}

/**
 * Down each column from the pole, nothing suits once two cells running do not: what stands before the
 * sky has no sky below its top, however much its windows look like it.
 */
function cutColumns(cells: Cells, pole: number, pass: Uint8Array): void {
  const { width, height, known } = cells;
  for (let x = 0; x < width; x++) {
    let missed = 0;
    for (let n = 0; n < height; n++) {
      const i = (pole > 0 ? n : height - 1 - n) * width + x;
      if (missed >= 2) pass[i] = 0;
      else if (known[i]) missed = pass[i] ? 0 : missed + 1;
    }
  }
}

/** How much more than nearly all of the rim cells may bend, and code values that count for nothing. */
const ROUGHER = 1.5;
const CALM = 1;
/** How much three quarters of the cells of a sky with cloud bend at most: less in a clear one, more in a wood or a roof. */
const CLOUDY = [1.2, 6] as const;

/**
 * Snow and pale rock look like cloud, but are drawn sharply: what bends more than the rim's sky and is
 * joined to the ground by its like does not suit. Clouds with hard edges stand free.
 */
function takeRocks(cells: Cells, rim: readonly number[], pass: Uint8Array): void {
  const { width, height, bends } = cells;
  const sorted = Float32Array.from(rim, (i) => bends[i]!).sort();
  const at = (share: number) => sorted[Math.floor(share * (sorted.length - 1))]!;
  if (at(0.75) < CLOUDY[0] || at(0.75) > CLOUDY[1]) return;
  const roughest = CALM + ROUGHER * at(0.95);
  const rough = Uint8Array.from(pass, (p, i) => (!p || bends[i]! > roughest ? 1 : 0));
  const ground = Array.from({ length: width }, (_, x) => (height - 1) * width + x);
  const joined = flood(cells, ground, rough);
  const rocks = [...joined.keys()].filter((i) => joined[i] && pass[i]);
  // Their tips, too, which fill but part of a cell.
  for (const i of rocks) {
    const x = i % width;
    for (const row of [i - x - width, i - x, i - x + width]) {
      for (const beside of [x, (x + 1) % width, (x + width - 1) % width]) {
        if (row >= 0 && row < pass.length) pass[row + beside] = 0;
      }
    }
  }
}

/** Takes the border cells away: they may hold a little of what lies beyond. */
function shrink(cells: Cells, set: Uint8Array): Uint8Array {
  const { known } = cells;
  const out = new Uint8Array(set.length);
  for (let i = 0; i < set.length; i++) {
    if (!set[i]) continue;
    out[i] = beside(cells, i).every((n) => set[n] || !known[n]) ? 1 : 0;
  }
  return out;
}

/** Cells that the hole's edge cuts are measured no better than the hole: they are as those beside them. */
function joinCut(cells: Cells, suits: Uint8Array): Uint8Array {
  const { known } = cells;
  const out = suits.slice();
  for (let i = 0; i < suits.length; i++) {
    if (known[i]) continue;
    out[i] = beside(cells, i).some((n) => known[n] && suits[n]) ? 1 : 0;
  }
  return out;
}

/** A cell must have this share of the likeness to the rim that the rim's middling cell has. */
const RARE = 0.04;

/**
 * Tells what may fill a hole. Around a pole: what looks like the hole's rim (colour and roughness, by
 * kernel densities) rather than like the other side of the horizon, and is joined to the rim; so
 * sky fills the zenith and ground the nadir, and neither mountains nor trees creep in. Elsewhere:
 * all that is known.
 *
 * `canvas` is a reduced one, 2048 wide or less.
 */
export function materialFor(canvas: Canvas, hole: Hole, seed: number): Material {
  const cells = cellsOf(canvas);
  const { width, height, known } = cells;
  if (hole.pole === 0) return { width, height, suits: new Uint8Array(known.length).fill(1) };
  const ring = Math.min(hole.radius + Math.max(0.1, 2 * (Math.PI / height)), 1.4);
  const near: number[] = [];
  const far: number[] = [];
  const within = new Uint8Array(width * height);
  for (let i = 0; i < known.length; i++) {
    if (!known[i]) continue;
    const angle = angleBetween(hole.centre, cells.at(i));
    if (angle < ring) near.push(i);
    else if (angle > Math.PI / 2 + 0.2) far.push(i);
    within[i] = angle < Math.max(ring, Math.PI / 2 - 0.05) ? 1 : 0;
  }
  if (near.length === 0) return { width, height, suits: new Uint8Array(known.length).fill(1) };
  const random = generator(seed);
  const inside = pick(near, 500, random);
  const outside = pick(far, 500, random);
  // What only a few cells of the rim are like (a mast, a tower) is not what it is made of.
  const usual = inside.map((i) => density(cells, i, inside)).sort((a, b) => a - b);
  const lumas = inside.map((i) => cells.feature[i * FEATURES]!).sort((a, b) => a - b);
  const middling = lumas[lumas.length >> 1]!;
  const rare = RARE * usual[usual.length >> 1]!;
  const pass = new Uint8Array(width * height);
  for (let i = 0; i < known.length; i++) {
    if (!within[i]) continue;
    // Light and cloud are brighter than a sky; what is darker must be like the rim elsewhere.
    const dark = hole.pole > 0 && cells.feature[i * FEATURES]! < middling;
    const like = density(cells, i, inside, dark ? APART * width : 0);
    const unlike = outside.length > 0 ? density(cells, i, outside) : 0;
    const up = Math.abs(cells.at(i)[1]);
    pass[i] = like > rare && like * Math.exp(1.5 * up) > unlike ? 1 : 0;
  }
  if (hole.pole > 0) takeRocks(cells, inside, pass);
  cutColumns(cells, hole.pole, pass);
  const suits = shrink(cells, flood(cells, near, pass));
  const enough = suits.reduce((n, s) => n + s, 0) >= near.length * 0.3;
  // A rim that is no one material (a roof full of lamps) is its own best source.
  if (!enough) for (const i of near) suits[i] = 1;
  return { width, height, suits: joinCut(cells, suits) };
}
