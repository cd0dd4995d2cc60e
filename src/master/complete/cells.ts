import { type Direction, direction } from './sphere.js';
import type { Canvas } from './types.js';

/** Colour (luma, two differences) and roughness of each cell, scaled so that 1 is a clear difference. */
export const FEATURES = 4;

const made = new WeakMap<Canvas, Cells>();

/** The canvas in coarse cells. */
export interface Cells {
  readonly width: number;
  readonly height: number;
  readonly feature: Float32Array;
  /** How much green bends from one pixel to the next, code values: rock and leaves do, cloud hardly. */
  readonly bends: Float32Array;
  readonly known: Uint8Array;
  readonly at: (i: number) => Direction;
}

/** Worked out once for each canvas: a master may have many holes. */
export function cellsOf(canvas: Canvas): Cells {
  let cells = made.get(canvas);
  if (!cells) {
    cells = measureCells(canvas);
    made.set(canvas, cells);
  }
  return cells;
}

function measureCells(canvas: Canvas): Cells {
  const block = Math.max(3, Math.min(8, Math.floor(canvas.width / 128)));
  const width = Math.floor(canvas.width / block);
  const height = Math.floor(canvas.height / block);
  const feature = new Float32Array(width * height * FEATURES);
  const bends = new Float32Array(width * height);
  const known = new Uint8Array(width * height);
  const unitValue = canvas.depth === 8 ? 1 : 1 / 257;
  // How green bends from one pixel to the next, within a cell: what lies beside it may be a hole.
  const bend = (p: number, step: number, within: number) => {
    if (within === 0 || within === block - 1) return 0;
    const green = (q: number) => canvas.data[3 * q + 1]! * unitValue;
    return 2 * green(p) - green(p - step) - green(p + step);
  };
  for (let j = 0; j < height; j++) {
    for (let i = 0; i < width; i++) {
      const sums = [0, 0, 0];
      let squares = 0;
      let holes = 0;
      let fine = 0;
      for (let y = j * block; y < (j + 1) * block; y++) {
        for (let x = i * block; x < (i + 1) * block; x++) {
          const p = y * canvas.width + x;
          holes += canvas.hole[p]!;
          for (let c = 0; c < 3; c++) sums[c]! += canvas.data[3 * p + c]! * unitValue;
          squares += (canvas.data[3 * p + 1]! * unitValue) ** 2;
          fine +=
            Math.abs(bend(p, 1, x - i * block)) + Math.abs(bend(p, canvas.width, y - j * block));
        }
      }
      const n = block * block;
      const [r, g, b] = sums.map((s) => s / n) as [number, number, number];
      const luma = 0.2126 * r + 0.7152 * g + 0.0722 * b;
      const at = (j * width + i) * FEATURES;
      feature[at] = luma / 20;
      feature[at + 1] = (b - luma) / 7;
      feature[at + 2] = (r - luma) / 7;
      feature[at + 3] = Math.log(1 + Math.sqrt(Math.max(0, squares / n - g * g))) / 0.7;
      bends[j * width + i] = fine / (2 * block * (block - 2));
      known[j * width + i] = holes === 0 ? 1 : 0;
    }
  }
  const at = (i: number) =>
    direction(
      (((i % width) + 0.5) / width - 0.5) * 2 * Math.PI,
      (0.5 - (Math.floor(i / width) + 0.5) / height) * Math.PI,
    );
  return { width, height, feature, bends, known, at };
}
