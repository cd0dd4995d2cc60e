import type { Breathe } from '../breath.js';

/**
 * One grid of the ladder. The unknown f minimises
 *   sum over neighbours (f_p - f_q - g_pq)^2 + sum weight_p (f_p - value_p)^2,
 * whose normal equations are (weight + degree) f - sum of neighbours = weight value + divergence = rhs.
 */
interface Level {
  readonly width: number;
  readonly height: number;
  readonly weight: Float64Array;
  readonly rhs: Float64Array;
  readonly f: Float64Array;
}

function emptyLevel(width: number, height: number): Level {
  const array = () => new Float64Array(width * height);
  return { width, height, weight: array(), rhs: array(), f: array() };
}

/** One half of a red-black Gauss-Seidel sweep. */
function relax(level: Level, colour: number): void {
  const { width, height, weight, rhs, f } = level;
  for (let y = 0; y < height; y++) {
    for (let x = (y + colour) & 1; x < width; x += 2) {
      const i = y * width + x;
      let sum = rhs[i]!;
      let diagonal = weight[i]!;
      if (x > 0) {
        sum += f[i - 1]!;
        diagonal++;
      }
      if (x + 1 < width) {
        sum += f[i + 1]!;
        diagonal++;
      }
      if (y > 0) {
        sum += f[i - width]!;
        diagonal++;
      }
      if (y + 1 < height) {
        sum += f[i + width]!;
        diagonal++;
      }
      if (diagonal > 0) f[i] = sum / diagonal;
    }
  }
}

function sweep(level: Level, times: number): void {
  for (let n = 0; n < times; n++) {
    relax(level, 0);
    relax(level, 1);
  }
}

function residualAt(level: Level, x: number, y: number): number {
  const { width, height, weight, rhs, f } = level;
  const i = y * width + x;
  const own = f[i]!;
  let r = rhs[i]! - weight[i]! * own;
  if (x > 0) r += f[i - 1]! - own;
  if (x + 1 < width) r += f[i + 1]! - own;
  if (y > 0) r += f[i - width]! - own;
  if (y + 1 < height) r += f[i + width]! - own;
  return r;
}

/** Sums the residuals of four children: the unscaled 5-point operator keeps its form at twice the step. */
function restrict(fine: Level, coarse: Level): void {
  coarse.rhs.fill(0);
  coarse.f.fill(0);
  for (let y = 0; y < fine.height; y++) {
    for (let x = 0; x < fine.width; x++) {
      coarse.rhs[(y >> 1) * coarse.width + (x >> 1)]! += residualAt(fine, x, y);
    }
  }
}

/** Adds the coarse grid's correction, bilinearly between cell centres. */
function prolong(coarse: Level, fine: Level): void {
  const { width, height, f } = fine;
  const cw = coarse.width;
  const ch = coarse.height;
  for (let y = 0; y < height; y++) {
    const y0 = y >> 1;
    const y1 = Math.min(ch - 1, Math.max(0, y0 + (y & 1 ? 1 : -1)));
    for (let x = 0; x < width; x++) {
      const x0 = x >> 1;
      const x1 = Math.min(cw - 1, Math.max(0, x0 + (x & 1 ? 1 : -1)));
      f[y * width + x]! +=
        0.5625 * coarse.f[y0 * cw + x0]! +
        0.1875 * (coarse.f[y0 * cw + x1]! + coarse.f[y1 * cw + x0]!) +
        0.0625 * coarse.f[y1 * cw + x1]!;
    }
  }
}

function cycle(levels: readonly Level[], at: number): void {
  const level = levels[at]!;
  const coarse = levels[at + 1];
  if (!coarse) {
    sweep(level, 40);
    return;
  }
  sweep(level, 2);
  restrict(level, coarse);
  cycle(levels, at + 1);
  prolong(coarse, level);
  sweep(level, 2);
}

export interface SparsePlane {
  readonly width: number;
  readonly height: number;
  /** How strongly each pixel holds to its value: 0 free, FIXED pinned. */
  readonly weight: Float64Array;
  /** Values wanted where weight > 0. */
  readonly value: Float64Array;
  /** Divergence of the gradients wanted, summed towards each pixel; none means 0: a membrane. */
  readonly divergence?: Float64Array;
  /** Where to start. */
  readonly start?: Float64Array;
}

/** A weight that pins a pixel to its value. */
export const FIXED = 1e9;

export interface Solution {
  readonly f: Float64Array;
  /** Largest residual over free pixels, in the values' unit. */
  readonly residual: number;
  readonly cycles: number;
}

/**
 * Solves the screened Poisson equation on a plane grid by multigrid V-cycles (edges are free: no
 * flow across them). Source: Pérez, Gangnet, Blake, "Poisson Image Editing", SIGGRAPH 2003, for
 * the equation; Briggs, Henson, McCormick, "A Multigrid Tutorial", 2nd ed. 2000, for the method
 * (from memory).
 */
export function solve(problem: SparsePlane, tolerance = 1e-3, maxCycles = 40): Solution {
  const steps = solving(problem, tolerance, maxCycles);
  for (;;) {
    const { done, value } = steps.next();
    if (done) return value;
  }
}

/** The same with a breath before each cycle. */
export async function solveBreathing(
  problem: SparsePlane,
  breathe: Breathe,
  tolerance: number,
  maxCycles: number,
): Promise<Solution> {
  const steps = solving(problem, tolerance, maxCycles);
  for (;;) {
    const { done, value } = steps.next();
    if (done) return value;
    await breathe();
  }
}

function* solving(
  problem: SparsePlane,
  tolerance: number,
  maxCycles: number,
): Generator<void, Solution> {
  const { width, height, weight, value, divergence, start } = problem;
  const finest = emptyLevel(width, height);
  let weighted = 0;
  let total = 0;
  for (let i = 0; i < width * height; i++) {
    finest.weight[i] = weight[i]!;
    finest.rhs[i] = weight[i]! * value[i]! + (divergence ? divergence[i]! : 0);
    if (weight[i]! > 0) {
      weighted += value[i]!;
      total++;
    }
  }
  const mean = total > 0 ? weighted / total : 0;
  for (let i = 0; i < width * height; i++) {
    finest.f[i] = weight[i]! >= FIXED ? value[i]! : start ? start[i]! : mean;
  }
  const levels = [finest];
  for (let fine = finest; fine.width > 4 || fine.height > 4; ) {
    const coarse = emptyLevel((fine.width + 1) >> 1, (fine.height + 1) >> 1);
    for (let y = 0; y < fine.height; y++) {
      for (let x = 0; x < fine.width; x++) {
        coarse.weight[(y >> 1) * coarse.width + (x >> 1)]! += fine.weight[y * fine.width + x]!;
      }
    }
    levels.push(coarse);
    fine = coarse;
  }
  let cycles = 0;
  let residual = Infinity;
  while (cycles < maxCycles && residual > tolerance) {
    yield;
    cycle(levels, 0);
    cycles++;
    residual = 0;
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        if (weight[y * width + x]! < FIXED) {
          residual = Math.max(residual, Math.abs(residualAt(finest, x, y)));
        }
      }
    }
  }
  return { f: finest.f, residual, cycles };
}
