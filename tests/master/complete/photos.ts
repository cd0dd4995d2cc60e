import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import sharp from 'sharp';
import { encodeSrgb } from '../../../src/colour.js';
import { readLight } from '../../support/photos.js';

/** An 8-bit RGB sphere in memory. */
export interface Photo {
  readonly width: number;
  readonly height: number;
  readonly rgb: Uint8Array;
}

/**
 * A real photograph of the whole sphere, of those that `readLight` reads. Toned as a camera would: the
 * median luminance exposed to 0.25, highlights rolled off by v (1 + v / w^2) / (1 + v) with w = 8
 * (Reinhard, Stark, Shirley, Ferwerda, "Photographic Tone Reproduction for Digital Images", SIGGRAPH
 * 2002, eq. 4), sRGB-coded to 8 bit.
 */
export async function photo(name: string): Promise<Photo> {
  const { width, height, red, green, blue } = await readLight(name);
  const luminance = Float32Array.from(
    red,
    (v, i) => 0.2126 * v + 0.7152 * green[i]! + 0.0722 * blue[i]!,
  ).sort();
  const exposure = 0.25 / luminance[Math.floor(0.5 * luminance.length)]!;
  const rgb = new Uint8Array(luminance.length * 3);
  for (const [channel, plane] of [red, green, blue].entries()) {
    for (let i = 0; i < plane.length; i++) {
      const v = Math.max(0, plane[i]! * exposure);
      rgb[3 * i + channel] = Math.round(
        255 * encodeSrgb(Math.min(1, (v * (1 + v / 64)) / (1 + v))),
      );
    }
  }
  return { width, height, rgb };
}

/** The photo turned about the vertical, so that neither its own seam nor the edges of its 8x8
 * compression blocks lie where a fill's seam would be. */
export function turnedPhoto({ width, height, rgb }: Photo): Photo {
  const out = new Uint8Array(rgb.length);
  const shift = 3 * (width / 4 + 3);
  for (let y = 0; y < height; y++) {
    const row = rgb.subarray(3 * y * width, 3 * (y + 1) * width);
    out.set(row.subarray(shift), 3 * y * width);
    out.set(row.subarray(0, shift), 3 * (y + 1) * width - shift);
  }
  return { width, height, rgb: out };
}

/** The round hole that a test cuts: angles in degrees. */
export interface Cut {
  readonly longitude: number;
  readonly latitude: number;
  readonly radius: number;
}

export function directionOf(longitude: number, latitude: number): [number, number, number] {
  const [lon, lat] = [(longitude * Math.PI) / 180, (latitude * Math.PI) / 180];
  return [Math.cos(lat) * Math.sin(lon), Math.sin(lat), -Math.cos(lat) * Math.cos(lon)];
}

/** 1 for each pixel whose centre lies in the cut. */
export function holeOf(size: { width: number; height: number }, cut: Cut): Uint8Array {
  const { width, height } = size;
  const centre = directionOf(cut.longitude, cut.latitude);
  const limit = Math.cos((cut.radius * Math.PI) / 180);
  return Uint8Array.from({ length: width * height }, (_, i) => {
    const d = directionOf(
      (((i % width) + 0.5) / width - 0.5) * 360,
      (0.5 - (Math.floor(i / width) + 0.5) / height) * 180,
    );
    return d[0] * centre[0] + d[1] * centre[1] + d[2] * centre[2] > limit ? 1 : 0;
  });
}

/** Writes the photo as a PNG whose hole is transparent (and black below). */
export async function writeCut(file: string, whole: Photo, hole: Uint8Array): Promise<void> {
  const rgba = Buffer.alloc(hole.length * 4);
  for (let i = 0; i < hole.length; i++) {
    if (hole[i]) continue;
    rgba.set(whole.rgb.subarray(3 * i, 3 * i + 3), 4 * i);
    rgba[4 * i + 3] = 255;
  }
  await sharp(rgba, { raw: { width: whole.width, height: whole.height, channels: 4 } })
    .png({ compressionLevel: 1 })
    .toFile(file);
}

export async function readPhoto(file: string): Promise<Photo> {
  const { data, info } = await sharp(file)
    .removeAlpha()
    .raw()
    .toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, rgb: new Uint8Array(data) };
}

/** Where tests leave pictures to look at; git ignores it. */
export const PICTURES = 'out/tests/complete';

/** Pictures side by side, each as seen straight at the cut's centre (stereographic, 110 degrees across). */
export async function showViews(
  name: string,
  photos: readonly Photo[],
  cut: Cut,
  folder = PICTURES,
): Promise<void> {
  const n = 360;
  const out = Buffer.alloc(n * n * photos.length * 3);
  const c = directionOf(cut.longitude, cut.latitude);
  const [lon, lat] = [(cut.longitude * Math.PI) / 180, (cut.latitude * Math.PI) / 180];
  const right = [Math.cos(lon), 0, Math.sin(lon)];
  const up = [-Math.sin(lat) * Math.sin(lon), Math.cos(lat), Math.sin(lat) * Math.cos(lon)];
  const reach = 2 * Math.tan((55 * Math.PI) / 360);
  photos.forEach(({ width, height, rgb }, index) => {
    for (let y = 0; y < n; y++) {
      for (let x = 0; x < n; x++) {
        const p = ((x + 0.5) / n - 0.5) * 2 * reach;
        const q = (0.5 - (y + 0.5) / n) * 2 * reach;
        const k = 1 / (4 + p * p + q * q);
        const d = [0, 1, 2].map(
          (a) => k * ((4 - p * p - q * q) * c[a]! + 4 * p * right[a]! + 4 * q * up[a]!),
        );
        const u = Math.min(
          width - 1,
          Math.floor((Math.atan2(d[0]!, -d[2]!) / (2 * Math.PI) + 0.5) * width),
        );
        const v = Math.min(
          height - 1,
          Math.floor((0.5 - Math.asin(Math.max(-1, Math.min(1, d[1]!))) / Math.PI) * height),
        );
        out.set(
          rgb.subarray(3 * (v * width + u), 3 * (v * width + u) + 3),
          3 * (y * n * photos.length + index * n + x),
        );
      }
    }
  });
  mkdirSync(folder, { recursive: true });
  await sharp(out, { raw: { width: n * photos.length, height: n, channels: 3 } })
    .png()
    .toFile(join(folder, `${name}.png`));
}
