import { clamp } from '../../../math.js';
import type { Pixels } from '../../pixels.js';

/** Features of each pixel, as bins of histograms. */
export interface Features {
  readonly width: number;
  readonly height: number;
  /** One plane for each feature: the bin of each pixel. */
  readonly bins: readonly Uint8Array[];
}

const BINS = 24;
/** One feature's evidence may not outweigh all others, nor one pixel its neighbours. */
const MOST_EVIDENCE = 2;
const MOST_TOGETHER = 0.5;

/** Brightness, two colour differences and roughness. Roughness tells grass from sky where colours do not. */
export function featuresOf({ width, height, depth, data }: Pixels): Features {
  const count = width * height;
  const most = 2 ** depth - 1;
  const planes = [0, 1, 2, 3].map(() => new Float32Array(count));
  const [luma, warm, green, rough] = planes as [
    ...[Float32Array, Float32Array, Float32Array, Float32Array],
  ];
  for (let i = 0; i < count; i++) {
    const [r, g, b] = [data[3 * i]! / most, data[3 * i + 1]! / most, data[3 * i + 2]! / most];
    luma[i] = 0.2126 * r + 0.7152 * g + 0.0722 * b;
    warm[i] = r - b;
    green[i] = g - (r + b) / 2;
  }
  for (let y = 1; y < height - 1; y++) {
    for (let x = 0; x < width; x++) {
      const at = (dy: number, dx: number) => luma[(y + dy) * width + ((x + dx + width) % width)]!;
      // The second difference: a smooth gradient is not rough.
      const along = Math.abs(2 * at(0, 0) - at(0, -1) - at(0, 1));
      const down = Math.abs(2 * at(0, 0) - at(-1, 0) - at(1, 0));
      rough[y * width + x] = Math.log2(0.003 + Math.max(along, down));
    }
  }
  return { width, height, bins: planes.map(equalised) };
}

/** Bins that hold about as many pixels each. */
function equalised(values: Float32Array): Uint8Array {
  const sorted = Float32Array.from(values).sort();
  const edges = Array.from(
    { length: BINS - 1 },
    (_, i) => sorted[Math.floor(((i + 1) * sorted.length) / BINS)]!,
  );
  return Uint8Array.from(values, (value) => {
    let bin = 0;
    while (bin < edges.length && value > edges[bin]!) bin++;
    return bin;
  });
}

/**
 * How much more likely each pixel is sky than ground, as the logarithm of the odds: naive Bayes on
 * histograms of the pixels that are taken for sky (`isSky` above 0) and for ground (below 0) so far.
 */
export function skyEvidence(
  { width, height, bins }: Features,
  isSky: (x: number, y: number) => number,
): Float32Array {
  const sky = bins.map(() => new Float64Array(BINS));
  const ground = bins.map(() => new Float64Array(BINS));
  for (let y = 0; y < height; y++) {
    const area = Math.sin(((y + 0.5) / height) * Math.PI);
    for (let x = 0; x < width; x++) {
      const side = isSky(x, y);
      if (side === 0) continue;
      const into = side > 0 ? sky : ground;
      bins.forEach((plane, f) => {
        into[f]![plane[y * width + x]!]! += area;
      });
    }
  }
  const odds = bins.map((_, f) => logOdds(sky[f]!, ground[f]!));
  const evidence = new Float32Array(width * height);
  bins.forEach((plane, f) => {
    const table = odds[f]!;
    for (let i = 0; i < evidence.length; i++) evidence[i]! += table[plane[i]!]!;
  });
  for (let i = 0; i < evidence.length; i++) {
    evidence[i] = clamp(evidence[i]!, -MOST_TOGETHER, MOST_TOGETHER);
  }
  return evidence;
}

function logOdds(sky: Float64Array, ground: Float64Array): Float64Array {
  const total = (bins: Float64Array) => bins.reduce((sum, n) => sum + n, 0);
  const [s, g] = [total(sky), total(ground)];
  const smooth = (bins: Float64Array, i: number) =>
    0.25 * (bins[Math.max(0, i - 1)]! + bins[Math.min(BINS - 1, i + 1)]!) + 0.5 * bins[i]!;
  return Float64Array.from(sky, (_, i) => {
    const p = smooth(sky, i) / s + 0.004;
    const q = smooth(ground, i) / g + 0.004;
    return clamp(Math.log(p / q), -MOST_EVIDENCE, MOST_EVIDENCE);
  });
}
