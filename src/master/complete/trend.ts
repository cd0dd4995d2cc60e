import { clamp } from '../../math.js';
import { solveSymmetric } from './linear.js';
import { MOST, type Model, models, type Samples, type Trend } from './trendModels.js';

/** Weighted least squares, iterated with Tukey's biweight so that birds and masts do not count. */
function regress(samples: Samples, model: Model, use: (i: number) => boolean): Float64Array {
  const n = model.terms;
  if (n === 1) return usualColour(samples, use);
  const row = new Float64Array(MOST);
  const robust = new Float64Array(samples.count).fill(1);
  let x = new Float64Array(n * 3);
  for (let round = 0; round < 4; round++) {
    const a = new Float64Array(n * n);
    x = new Float64Array(n * 3);
    let mass = 0;
    for (let i = 0; i < samples.count; i++) {
      if (!use(i)) continue;
      const w = samples.weight[i]! * robust[i]!;
      mass += w;
      model.basis(samples.local[3 * i]!, samples.local[3 * i + 1]!, samples.local[3 * i + 2]!, row);
      for (let p = 0; p < n; p++) {
        const wp = w * row[p]!;
        for (let q = 0; q <= p; q++) a[p * n + q]! += wp * row[q]!;
        for (let c = 0; c < 3; c++) x[3 * p + c]! += wp * samples.rgb[3 * i + c]!;
      }
    }
    // A little damping: terms that the samples hardly determine stay small.
    for (let p = 1; p < n; p++) a[p * n + p]! += mass * 1e-5;
    a[0]! += 1e-9;
    solveSymmetric(a, x, n, 3);
    const errors = residuals(samples, x, model, use);
    const scale = 4.7 * 1.48 * Math.max(0.5, median(errors.filter((e) => e >= 0)));
    for (let i = 0; i < samples.count; i++) {
      const t = errors[i]! / scale;
      robust[i] = t < 1 ? (1 - t * t) ** 2 : 0;
    }
  }
  return x;
}

/** The weighted median of each channel, chiefly beside the rim: the sky, where clouds are the fewer. */
function usualColour(samples: Samples, use: (i: number) => boolean): Float64Array {
  const chosen = Array.from({ length: samples.count }, (_, i) => i).filter(use);
  const weight = (i: number) => samples.weight[i]! ** 2;
  const half = chosen.reduce((sum, i) => sum + weight(i), 0) / 2;
  return Float64Array.from([0, 1, 2], (c) => {
    const order = chosen.slice().sort((i, j) => samples.rgb[3 * i + c]! - samples.rgb[3 * j + c]!);
    let sum = 0;
    const middle = order.find((i) => {
      sum += weight(i);
      return sum >= half;
    });
    return middle === undefined ? 0 : samples.rgb[3 * middle + c]!;
  });
}

/** Each point's distance in colour from the fit; -1 where unused. */
function residuals(samples: Samples, x: Float64Array, model: Model, use: (i: number) => boolean) {
  const row = new Float64Array(MOST);
  const errors = new Float64Array(samples.count).fill(-1);
  for (let i = 0; i < samples.count; i++) {
    if (!use(i)) continue;
    model.basis(samples.local[3 * i]!, samples.local[3 * i + 1]!, samples.local[3 * i + 2]!, row);
    let sum = 0;
    for (let c = 0; c < 3; c++) {
      let value = -samples.rgb[3 * i + c]!;
      for (let p = 0; p < model.terms; p++) value += x[3 * p + c]! * row[p]!;
      sum += value * value;
    }
    errors[i] = Math.sqrt(sum / 3);
  }
  return errors;
}

function median(values: Float64Array): number {
  if (values.length === 0) return 0;
  const sorted = values.slice().sort();
  return sorted[sorted.length >> 1]!;
}

interface Candidate {
  readonly model: Model;
  /** How far it misses, at the rim, what it was not fitted to; code values. */
  readonly miss: number;
}

/** What any model may miss in the hole itself, whatever it does at the rim. */
const DOUBT = 2;

/**
 * Fits several models and tries each on the hole's own situation: foretelling the samples nearest
 * the hole from those farther out. The trend is their mean, each weighted by how well it did: alone,
 * a stiff one runs short of the zenith and a free one overshoots. Where none does clearly better than
 * one level colour, or all miss by more than `telling` code values, it is that colour: texture drowns
 * any slope. It runs beyond the samples' own range of colours by the share `beyond` of it at most.
 */
export function fitTrend(samples: Samples, telling = 12, beyond = 0.5): Trend {
  const heights = Float64Array.from({ length: samples.count }, (_, i) => samples.local[3 * i + 2]!);
  const divide = median(heights);
  const candidates: Candidate[] = models(samples.light)
    .filter((model) => model.terms === 1 || samples.count >= 12 * model.terms)
    .map((model) => {
      const x = regress(samples, model, (i) => heights[i]! < divide);
      const misses = residuals(samples, x, model, (i) => heights[i]! >= divide);
      return { model, miss: median(misses.filter((e) => e >= 0)) };
    });
  const level = candidates[0]!;
  const least = Math.min(...candidates.map((c) => c.miss));
  const sloped = least < telling && least < 0.8 * level.miss;
  const chosen = sloped ? candidates.slice(1).filter((c) => c.miss < 2 * telling) : [level];
  const mass = chosen.reduce((sum, c) => sum + (c.miss + DOUBT) ** -2, 0);
  const fits = chosen.map(({ model, miss }) => ({
    model,
    share: (miss + DOUBT) ** -2 / mass,
    x: regress(samples, model, () => true),
  }));
  const row = new Float64Array(MOST);
  const [low, high] = range(samples, beyond);
  return {
    name: sloped ? 'sloped' : 'level',
    miss: least,
    at(a, b, h, out) {
      out.fill(0);
      for (const { model, share, x } of fits) {
        model.basis(a, b, h, row);
        for (let p = 0; p < model.terms; p++) {
          for (let c = 0; c < 3; c++) out[c]! += share * x[3 * p + c]! * row[p]!;
        }
      }
      for (let c = 0; c < 3; c++) out[c] = clamp(out[c]!, low[c]!, high[c]!);
    },
  };
}

/** How far a trend may run: the samples' own range and a share more on each side, within the code range. */
function range(samples: Samples, beyond: number): [number[], number[]] {
  const low: number[] = [];
  const high: number[] = [];
  for (let c = 0; c < 3; c++) {
    const sorted = Float64Array.from(
      { length: samples.count },
      (_, i) => samples.rgb[3 * i + c]!,
    ).sort();
    const at = (share: number) => sorted[Math.floor(share * (sorted.length - 1))] ?? 0;
    const reach = beyond * (at(0.98) - at(0.02)) + 2;
    low.push(Math.max(0, at(0.02) - reach));
    high.push(Math.min(255, at(0.98) + reach));
  }
  return [low, high];
}
