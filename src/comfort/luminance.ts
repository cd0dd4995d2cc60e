import { decodeSrgb } from '../colour.js';
import type { PixelFormat } from '../encode/types.js';
import { FLASH } from './limits.js';

/** A frame's mean relative luminance (0 to 1) in cells, row by row from the top. */
export interface LuminanceGrid {
  readonly columns: number;
  readonly rows: number;
  /** Cells across and down that stand for a visual field of 10 degrees. */
  readonly field: readonly [across: number, down: number];
  of(frame: Uint8Array, format: PixelFormat): Float32Array;
}

/**
 * Side of a cell in pixels of `FLASH.screen`: a quarter of a degree, unless the frame has too few pixels.
 * Finer patterns average out, and are excepted from the threshold below 0.1 degrees anyway.
 */
const CELL = 8;

/** A cell is looked at in so many places across and down, where it has as many pixels. */
const LOOKS = 4;

/** How finely the transfer function is tabled. */
const STEPS = 4095;
const LINEAR = Float32Array.from({ length: STEPS + 1 }, (_, code) => decodeSrgb(code / STEPS));

/** For frames of `width` x `height` pixels, shown as large as `FLASH.screen` allows. */
export function luminanceGrid(width: number, height: number): LuminanceGrid {
  const scale = Math.min(FLASH.screen.width / width, FLASH.screen.height / height);
  const cellsAlong = (pixels: number) =>
    Math.max(1, Math.min(Math.round((pixels * scale) / CELL), Math.floor(pixels / LOOKS)));
  const [columns, rows] = [cellsAlong(width), cellsAlong(height)];
  const stride = Math.max(1, Math.floor(width / columns / LOOKS));
  const field = [
    (FLASH.field.width * columns) / (width * scale),
    (FLASH.field.height * rows) / (height * scale),
  ] as const;
  return {
    columns,
    rows,
    field,
    of(frame, format) {
      const luminanceAt = readers[format](frame, width, height);
      const sums = new Float32Array(columns * rows);
      const counts = new Uint16Array(columns * rows);
      for (let y = 0; y < height; y += stride) {
        const row = columns * Math.floor((y * rows) / height);
        for (let x = 0; x < width; x += stride) {
          const cell = row + Math.floor((x * columns) / width);
          sums[cell]! += luminanceAt(x, y);
          counts[cell]! += 1;
        }
      }
      return sums.map((sum, cell) => sum / Math.max(1, counts[cell]!));
    },
  };
}

/** Relative luminance of sRGB-encoded values, 0 to 1, with BT.709's primaries. */
function luminance(red: number, green: number, blue: number): number {
  return 0.2126 * linear(red) + 0.7152 * linear(green) + 0.0722 * linear(blue);
}

const linear = (encoded: number): number =>
  LINEAR[Math.min(STEPS, Math.max(0, Math.round(encoded * STEPS)))]!;

type Reader = (
  frame: Uint8Array,
  width: number,
  height: number,
) => (x: number, y: number) => number;

const words = (frame: Uint8Array) =>
  new Uint16Array(frame.buffer, frame.byteOffset, frame.byteLength / 2);

/** Planes of BT.709, limited range; see `PixelFormat`. */
const planar =
  (samplesOf: (frame: Uint8Array) => ArrayLike<number>, step: number): Reader =>
  (frame, width, height) => {
    const samples = samplesOf(frame);
    const luma = width * height;
    const chroma = luma / 4;
    return (x, y) => {
      const at = luma + (y >> 1) * (width / 2) + (x >> 1);
      const grey = (samples[y * width + x]! - 16 * step) / (219 * step);
      const cb = (samples[at]! - 128 * step) / (224 * step);
      const cr = (samples[at + chroma]! - 128 * step) / (224 * step);
      return luminance(grey + 1.5748 * cr, grey - 0.18732 * cb - 0.46812 * cr, grey + 1.8556 * cb);
    };
  };

/** Straight alpha, over black. */
const interleaved =
  (samplesOf: (frame: Uint8Array) => ArrayLike<number>, most: number): Reader =>
  (frame, width) => {
    const samples = samplesOf(frame);
    return (x, y) => {
      const at = 4 * (y * width + x);
      const part = (channel: number) => samples[at + channel]! / most;
      return part(3) * luminance(part(0), part(1), part(2));
    };
  };

const bytes = (frame: Uint8Array) => frame;

const readers: Readonly<Record<PixelFormat, Reader>> = {
  yuv420p: planar(bytes, 1),
  yuv420p10le: planar(words, 4),
  rgba: interleaved(bytes, 255),
  rgba64le: interleaved(words, 65535),
};
