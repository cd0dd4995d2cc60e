import { random } from './noise.js';

export const GRAIN_SIZE = 1024;

/**
 * The shaders' noise texture, which repeats without a seam: red a fractal, green and blue its slopes in
 * x and y (128 = level), alpha fine speckle. RGBA bytes.
 */
export function makeGrain(): Uint8Array {
  const size = GRAIN_SIZE;
  const height = new Float32Array(size * size);
  const speckle = new Float32Array(size * size);
  for (let octave = 0, cells = 6; cells <= size / 4; octave++, cells *= 2) {
    addLayer(height, size, cells, 0.5 ** octave, 100 + octave);
  }
  addLayer(speckle, size, size / 4, 0.6, 300);
  addLayer(speckle, size, size / 2, 0.6, 301);
  stretch(height);
  stretch(speckle);
  const bytes = new Uint8Array(size * size * 4);
  const byte = (value: number) => Math.min(255, Math.max(0, Math.round(value)));
  for (let y = 0; y < size; y++) {
    for (let x = 0; x < size; x++) {
      const h = (dx: number, dy: number) =>
        height[((y + dy + size) % size) * size + ((x + dx + size) % size)] as number;
      const at = (y * size + x) * 4;
      bytes[at] = byte(255 * h(0, 0));
      bytes[at + 1] = byte(127.5 + 2600 * (h(1, 0) - h(-1, 0)));
      bytes[at + 2] = byte(127.5 + 2600 * (h(0, 1) - h(0, -1)));
      bytes[at + 3] = byte(255 * (speckle[y * size + x] as number));
    }
  }
  return bytes;
}

/** Adds gradient noise with `cells` cells a side. */
function addLayer(
  into: Float32Array,
  size: number,
  cells: number,
  amplitude: number,
  seed: number,
): void {
  const next = random(seed);
  const angles = Float32Array.from({ length: cells * cells }, () => next() * 2 * Math.PI);
  const slopeX = angles.map(Math.cos);
  const slopeY = angles.map(Math.sin);
  for (let y = 0; y < size; y++) {
    const v = ((y + 0.5) / size) * cells;
    const j = Math.floor(v);
    const fy = v - j;
    const sy = fade(fy);
    const near = (j % cells) * cells;
    const far = ((j + 1) % cells) * cells;
    for (let x = 0; x < size; x++) {
      const u = ((x + 0.5) / size) * cells;
      const i = Math.floor(u);
      const fx = u - i;
      const sx = fade(fx);
      const left = i % cells;
      const right = (i + 1) % cells;
      const a = (slopeX[near + left] as number) * fx + (slopeY[near + left] as number) * fy;
      const b = (slopeX[near + right] as number) * (fx - 1) + (slopeY[near + right] as number) * fy;
      const c = (slopeX[far + left] as number) * fx + (slopeY[far + left] as number) * (fy - 1);
      const d =
        (slopeX[far + right] as number) * (fx - 1) + (slopeY[far + right] as number) * (fy - 1);
      const top = a + (b - a) * sx;
      const low = c + (d - c) * sx;
      const index = y * size + x;
      into[index] = (into[index] as number) + amplitude * (top + (low - top) * sy);
    }
  }
}

const fade = (t: number): number => t * t * t * (t * (t * 6 - 15) + 10);

/** Moves the values to a mean of 0.5 and three deviations to either end. */
function stretch(values: Float32Array): void {
  let sum = 0;
  let squares = 0;
  for (const value of values) {
    sum += value;
    squares += value * value;
  }
  const mean = sum / values.length;
  const deviation = Math.sqrt(squares / values.length - mean * mean);
  for (let i = 0; i < values.length; i++) {
    values[i] = Math.min(1, Math.max(0, 0.5 + ((values[i] as number) - mean) / (6 * deviation)));
  }
}
