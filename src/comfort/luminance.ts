import { decodeSrgb } from '../colour.js';
import type { PixelFormat } from '../encode/types.js';
import { FLASH } from './limits.js';

/** A frame's means over cells, row by row from the top. */
export interface Cells {
  /** Relative luminance, 0 to 1. */
  readonly luminance: Float32Array;
  /** (R - G - B) x 320 of linear light, 0 where that is negative. */
  readonly redness: Float32Array;
  /** 1 where it is a saturated red. */
  readonly saturated: Uint8Array;
}

/** Cuts frames into cells. */
export interface LuminanceGrid {
  readonly columns: number;
  readonly rows: number;
  /** Cells across and down that stand for a visual field of 10 degrees. */
  readonly field: readonly [across: number, down: number];
  of(frame: Uint8Array, format: PixelFormat): Cells;
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
      const read = readers[format](frame, width, height);
      const light = new Float64Array(3);
      const sums = new Float64Array(columns * rows * 3);
      const counts = new Uint16Array(columns * rows);
      for (let y = 0; y < height; y += stride) {
        const row = columns * Math.floor((y * rows) / height);
        for (let x = 0; x < width; x += stride) {
          const cell = row + Math.floor((x * columns) / width);
          read(x, y, light);
          sums[3 * cell]! += light[0]!;
          sums[3 * cell + 1]! += light[1]!;
          sums[3 * cell + 2]! += light[2]!;
          counts[cell]! += 1;
        }
      }
      return cellsOf(sums, counts);
    },
  };
}

/** Less light than this, all channels together, has no colour worth the name: noise. Our choice. */
const DARK = 0.003;

/** Of the sums of linear R, G and B. Luminance is that of BT.709's primaries. */
function cellsOf(sums: Float64Array, counts: Uint16Array): Cells {
  const luminance = new Float32Array(counts.length);
  const redness = new Float32Array(counts.length);
  const saturated = new Uint8Array(counts.length);
  for (let cell = 0; cell < counts.length; cell++) {
    const mean = (channel: number) => sums[3 * cell + channel]! / Math.max(1, counts[cell]!);
    const [r, g, b] = [mean(0), mean(1), mean(2)];
    luminance[cell] = 0.2126 * r + 0.7152 * g + 0.0722 * b;
    redness[cell] = Math.max(0, r - g - b) * FLASH.red.scale;
    const all = r + g + b;
    saturated[cell] = all >= DARK && r >= FLASH.red.saturated * all ? 1 : 0;
  }
  return { luminance, redness, saturated };
}

const linear = (encoded: number): number =>
  LINEAR[encoded <= 0 ? 0 : encoded >= 1 ? STEPS : (encoded * STEPS + 0.5) | 0]!;

/** Writes a pixel's linear red, green and blue, 0 to 1, into `light`. */
type Reader = (
  frame: Uint8Array,
  width: number,
  height: number,
) => (x: number, y: number, light: Float64Array) => void;

const words = (frame: Uint8Array) =>
  new Uint16Array(frame.buffer, frame.byteOffset, frame.byteLength / 2);

/** Planes of BT.709, limited range; see `PixelFormat`. */
const planar =
  (samplesOf: (frame: Uint8Array) => ArrayLike<number>, step: number): Reader =>
  (frame, width, height) => {
    const samples = samplesOf(frame);
    const luma = width * height;
    const chroma = luma / 4;
    return (x, y, light) => {
      const at = luma + (y >> 1) * (width / 2) + (x >> 1);
      const grey = (samples[y * width + x]! - 16 * step) / (219 * step);
      const cb = (samples[at]! - 128 * step) / (224 * step);
      const cr = (samples[at + chroma]! - 128 * step) / (224 * step);
      light[0] = linear(grey + 1.5748 * cr);
      light[1] = linear(grey - 0.18732 * cb - 0.46812 * cr);
      light[2] = linear(grey + 1.8556 * cb);
    };
  };

/** Straight alpha, over black. */
const interleaved =
  (samplesOf: (frame: Uint8Array) => ArrayLike<number>, most: number): Reader =>
  (frame, width) => {
    const samples = samplesOf(frame);
    return (x, y, light) => {
      const at = 4 * (y * width + x);
      const alpha = samples[at + 3]! / most;
      for (let c = 0; c < 3; c++) light[c] = alpha * linear(samples[at + c]! / most);
    };
  };

const bytes = (frame: Uint8Array) => frame;

const readers: Readonly<Record<PixelFormat, Reader>> = {
  yuv420p: planar(bytes, 1),
  yuv420p10le: planar(words, 4),
  rgba: interleaved(bytes, 255),
  rgba64le: interleaved(words, 65535),
};
