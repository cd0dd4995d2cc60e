import { type Cut, directionOf, type Photo } from './photos.js';

function bilinear(photo: Photo, d: readonly number[], out: number[]): void {
  const { width, height, rgb } = photo;
  const u = (Math.atan2(d[0]!, -d[2]!) / (2 * Math.PI) + 0.5) * width - 0.5;
  const v = Math.max(
    0,
    Math.min(height - 1.001, (0.5 - Math.asin(d[1]!) / Math.PI) * height - 0.5),
  );
  const [u0, v0] = [Math.floor(u), Math.floor(v)];
  const [fu, fv] = [u - u0, v - v0];
  const at = (x: number, y: number, c: number) => rgb[3 * (y * width + ((x + width) % width)) + c]!;
  for (let c = 0; c < 3; c++) {
    out[c] =
      (1 - fv) * ((1 - fu) * at(u0, v0, c) + fu * at(u0 + 1, v0, c)) +
      fv * ((1 - fu) * at(u0, v0 + 1, c) + fu * at(u0 + 1, v0 + 1, c));
  }
}

/**
 * How much rougher a picture is across a hole's rim than within 5 degrees around it: mean absolute
 * differences along the way from the hole's centre, one pixel a step, over 720 ways. The rim's own is
 * the largest of the three steps around it. 1: no rougher; a visible rim is well above.
 */
export function rimRatio(photo: Photo, cut: Cut): number {
  const means = profile(photo, cut);
  const reach = means.length / 2;
  const rim = means.slice(reach - 2, reach + 2);
  const around = [...means.slice(0, reach - 2), ...means.slice(reach + 2)];
  return Math.max(...rim) / (around.reduce((a, b) => a + b, 0) / around.length);
}

/** Those differences, code values a channel a pixel, from 5 degrees inside the rim to 5 outside. */
export function profile(photo: Photo, cut: Cut): number[] {
  const step = 180 / photo.height;
  const reach = Math.floor(5 / step);
  const c = directionOf(cut.longitude, cut.latitude);
  const [lon, lat] = [(cut.longitude * Math.PI) / 180, (cut.latitude * Math.PI) / 180];
  const right = [Math.cos(lon), 0, Math.sin(lon)];
  const up = [-Math.sin(lat) * Math.sin(lon), Math.cos(lat), Math.sin(lat) * Math.cos(lon)];
  const means = new Array<number>(2 * reach).fill(0);
  const now = [0, 0, 0];
  const before = [0, 0, 0];
  for (let n = 0; n < 720; n++) {
    const [ca, sa] = [Math.cos((n * Math.PI) / 360), Math.sin((n * Math.PI) / 360)];
    for (let i = 0; i <= 2 * reach; i++) {
      const angle = ((cut.radius + (i - reach) * step) * Math.PI) / 180;
      const d = [0, 1, 2].map(
        (k) => Math.cos(angle) * c[k]! + Math.sin(angle) * (ca * right[k]! + sa * up[k]!),
      );
      bilinear(photo, d, now);
      if (i > 0) for (let k = 0; k < 3; k++) means[i - 1]! += Math.abs(now[k]! - before[k]!) / 2160;
      for (let k = 0; k < 3; k++) before[k] = now[k]!;
    }
  }
  return means;
}

/**
 * The same across longitude ±180°, over the hole's pixels: the seam's step against those within 5
 * degrees of it, by how many of their standard deviations it lies above their mean, and by how many
 * code values a pixel.
 */
export function seamStep(
  photo: Photo,
  hole: Uint8Array,
): { ratio: number; deviations: number; excess: number } {
  const { width, height, rgb } = photo;
  const reach = Math.floor((5 * width) / 360);
  const step = (x: number): number => {
    let sum = 0;
    for (let y = 0; y < height; y++) {
      const [a, b] = [y * width + ((x + width) % width), y * width + ((x + 1 + width) % width)];
      if (!hole[a] || !hole[b]) continue;
      for (let c = 0; c < 3; c++) sum += Math.abs(rgb[3 * a + c]! - rgb[3 * b + c]!);
    }
    return sum;
  };
  const around: number[] = [];
  for (let k = 1; k <= reach; k++) around.push(step(-1 - k), step(-1 + k));
  const mean = around.reduce((a, b) => a + b, 0) / around.length;
  const spread = Math.sqrt(around.reduce((a, b) => a + (b - mean) ** 2, 0) / around.length);
  let samples = 0;
  for (let y = 0; y < height; y++) samples += hole[y * width] ? 3 : 0;
  const above = step(-1) - mean;
  return { ratio: step(-1) / mean, deviations: above / spread, excess: above / samples };
}

/**
 * Over the hole, weighted by solid angle: the difference of the mean colours (the mean of the three
 * channels' and the worst channel's) and the mean difference pixel by pixel.
 */
export function colourError(
  found: Photo,
  truth: Photo,
  hole: Uint8Array,
): { mean: number; worst: number; each: number } {
  const sums = [0, 0, 0];
  let each = 0;
  let area = 0;
  for (let i = 0; i < hole.length; i++) {
    if (!hole[i]) continue;
    const w = Math.sin(((Math.floor(i / found.width) + 0.5) / found.height) * Math.PI);
    area += w;
    for (let c = 0; c < 3; c++) {
      const e = found.rgb[3 * i + c]! - truth.rgb[3 * i + c]!;
      sums[c]! += w * e;
      each += (w * Math.abs(e)) / 3;
    }
  }
  const channels = sums.map((s) => Math.abs(s / area));
  return {
    mean: channels.reduce((a, b) => a + b) / 3,
    worst: Math.max(...channels),
    each: each / area,
  };
}

/** How many known pixels are not what they were. */
export function changedPixels(found: Photo, truth: Photo, hole: Uint8Array): number {
  let changed = 0;
  for (let i = 0; i < hole.length; i++) {
    if (hole[i]) continue;
    for (let c = 0; c < 3; c++) if (found.rgb[3 * i + c] !== truth.rgb[3 * i + c]) changed++;
  }
  return changed;
}

/**
 * What one gets in the flat picture: each column of a polar cut repeats the last row known; a round
 * cut elsewhere is filled along its rows, from its left to its right edge.
 */
export function naive(photo: Photo, hole: Uint8Array, cut: Cut): Photo {
  const { width, height } = photo;
  const rgb = photo.rgb.slice();
  const polar = Math.abs(cut.latitude) === 90;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      if (!hole[y * width + x]) continue;
      if (polar) {
        let row = y;
        while (hole[row * width + x]) row += cut.latitude > 0 ? 1 : -1;
        for (let c = 0; c < 3; c++)
          rgb[3 * (y * width + x) + c] = photo.rgb[3 * (row * width + x) + c]!;
        continue;
      }
      let [a, b] = [x, x];
      while (a > 0 && hole[y * width + a]) a--;
      while (b < width - 1 && hole[y * width + b]) b++;
      const t = (x - a) / (b - a);
      for (let c = 0; c < 3; c++) {
        rgb[3 * (y * width + x) + c] = Math.round(
          (1 - t) * photo.rgb[3 * (y * width + a) + c]! + t * photo.rgb[3 * (y * width + b) + c]!,
        );
      }
    }
  }
  return { width, height, rgb };
}
