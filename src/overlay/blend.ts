import type { PixelFormat } from '../encode/types.js';
import type { PlacedRaster } from './types.js';

/** Puts an overlay over frames of one size and layout. */
export interface Blender {
  /** @param opacity 0 to 1, beside the raster's own alpha */
  over(frame: Uint8Array, opacity: number): void;
}

interface Frame {
  readonly format: PixelFormat;
  readonly width: number;
  readonly height: number;
}

/**
 * Prepares a raster for frames of one layout. Blended are the encoded values, as in every picture editor's
 * "normal" mode: that is what anti-aliased letters are made for (Porter and Duff's `over`, Computer
 * Graphics 18(3), SIGGRAPH 1984).
 */
export function createBlender(raster: PlacedRaster, frame: Frame): Blender {
  const cut = clipped(raster, frame);
  if (cut === undefined) return { over: () => {} };
  switch (frame.format) {
    case 'rgba':
      return interleaved(cut, frame, 255, (bytes) => bytes);
    case 'rgba64le':
      return interleaved(cut, frame, 65535, words);
    case 'yuv420p':
      return planar(cut, frame, 1, (bytes) => bytes);
    case 'yuv420p10le':
      return planar(cut, frame, 4, words);
  }
}

type Samples = Uint8Array | Uint16Array;

const words = (bytes: Uint8Array): Samples =>
  new Uint16Array(bytes.buffer, bytes.byteOffset, bytes.byteLength / 2);

/** The part of a raster that lies in the frame; its corner on even pixels, where chroma samples are. */
interface Cut {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  /** Red, green, blue, each times alpha, and alpha; 0 to 1. */
  readonly premultiplied: Float32Array;
}

function clipped(raster: PlacedRaster, frame: Frame): Cut | undefined {
  const even = (value: number) => 2 * Math.floor(value / 2);
  const left = Math.max(0, even(raster.left));
  const top = Math.max(0, even(raster.top));
  // A pixel further to the right, whose chroma sample the raster's last column still touches.
  const width = Math.min(frame.width, even(raster.left + raster.width + 2)) - left;
  const height = Math.min(frame.height, even(raster.top + raster.height + 1)) - top;
  if (width <= 0 || height <= 0) return undefined;
  const premultiplied = new Float32Array(4 * width * height);
  for (let y = 0; y < height; y++) {
    const row = top + y - raster.top;
    if (row < 0 || row >= raster.height) continue;
    for (let x = 0; x < width; x++) {
      const column = left + x - raster.left;
      if (column < 0 || column >= raster.width) continue;
      const from = 4 * (row * raster.width + column);
      const to = 4 * (y * width + x);
      const alpha = raster.rgba[from + 3]! / 255;
      for (let c = 0; c < 3; c++) premultiplied[to + c] = (raster.rgba[from + c]! / 255) * alpha;
      premultiplied[to + 3] = alpha;
    }
  }
  return { left, top, width, height, premultiplied };
}

function interleaved(
  { left, top, width, height, premultiplied }: Cut,
  frame: Frame,
  most: number,
  samplesOf: (bytes: Uint8Array) => Samples,
): Blender {
  return {
    over(bytes, opacity) {
      const samples = samplesOf(bytes);
      for (let y = 0; y < height; y++) {
        let at = 4 * ((top + y) * frame.width + left);
        let from = 4 * y * width;
        for (let x = 0; x < width; x++, at += 4, from += 4) {
          const alpha = premultiplied[from + 3]! * opacity;
          if (alpha === 0) continue;
          const below = (samples[at + 3]! / most) * (1 - alpha);
          const covered = alpha + below;
          for (let c = 0; c < 3; c++) {
            const light = premultiplied[from + c]! * opacity * most + samples[at + c]! * below;
            samples[at + c] = Math.round(light / covered);
          }
          samples[at + 3] = Math.round(most * covered);
        }
      }
    },
  };
}

/** Code values of a plane that an overlay adds to, and the share of the frame's own that stays. */
interface Plane {
  readonly add: Float32Array;
  readonly alpha: Float32Array;
  readonly width: number;
  readonly height: number;
}

/** BT.709, limited range; see `PixelFormat`. */
function planar(
  cut: Cut,
  frame: Frame,
  step: number,
  samplesOf: (bytes: Uint8Array) => Samples,
): Blender {
  const { left, top, width, height, premultiplied: p } = cut;
  const full = width * height;
  const luma: Plane = {
    ...{ add: new Float32Array(full), alpha: new Float32Array(full) },
    ...{ width, height },
  };
  const [cb, cr] = [new Float32Array(full), new Float32Array(full)];
  for (let i = 0; i < full; i++) {
    const [r, g, b, a] = [p[4 * i]!, p[4 * i + 1]!, p[4 * i + 2]!, p[4 * i + 3]!];
    const grey = 0.2126 * r + 0.7152 * g + 0.0722 * b;
    luma.add[i] = step * (219 * grey + 16 * a);
    luma.alpha[i] = a;
    cb[i] = step * ((224 * (b - grey)) / 1.8556 + 128 * a);
    cr[i] = step * ((224 * (r - grey)) / 1.5748 + 128 * a);
  }
  const half = { width: width / 2, height: height / 2 };
  const alpha = halved(luma.alpha, width, height, left === 0);
  const planes: readonly (readonly [Plane, number, number, number])[] = [
    [luma, 0, top * frame.width + left, frame.width],
    ...[cb, cr].map((plane, index) => {
      const add = halved(plane, width, height, left === 0);
      const start = frame.width * frame.height * (1 + index / 4);
      const corner = (top / 2) * (frame.width / 2) + left / 2;
      return [{ add, alpha, ...half }, start, corner, frame.width / 2] as const;
    }),
  ];
  return {
    over(bytes, opacity) {
      const samples = samplesOf(bytes);
      for (const [plane, start, corner, stride] of planes) {
        for (let y = 0; y < plane.height; y++) {
          const row = start + corner + y * stride;
          for (let x = 0; x < plane.width; x++) {
            const share = plane.alpha[y * plane.width + x]! * opacity;
            if (share === 0) continue;
            const add = plane.add[y * plane.width + x]! * opacity;
            samples[row + x] = Math.round(samples[row + x]! * (1 - share) + add);
          }
        }
      }
    },
  };
}

/**
 * Chroma's half size: sited left, between two rows, as the frames' own.
 *
 * @param atEdge the plane begins at the frame's left edge, beyond which its first column goes on
 */
function halved(plane: Float32Array, width: number, height: number, atEdge: boolean): Float32Array {
  const at = (x: number, y: number) => {
    if (x < 0) return atEdge ? plane[y * width]! : 0;
    return plane[y * width + Math.min(x, width - 1)]!;
  };
  const small = new Float32Array((width * height) / 4);
  for (let y = 0; y < height; y += 2) {
    for (let x = 0; x < width; x += 2) {
      let sum = 0;
      for (const row of [y, y + 1]) sum += at(x - 1, row) + 2 * at(x, row) + at(x + 1, row);
      small[(y / 2) * (width / 2) + x / 2] = sum / 8;
    }
  }
  return small;
}
