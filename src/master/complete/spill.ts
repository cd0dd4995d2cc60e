import { open } from 'node:fs/promises';
import type { Breathe } from '../breath.js';
import { readStored, V_HEADER } from '../uncompressed.js';
import type { Canvas } from './types.js';

const ROWS = 256;

/** Reads an uncompressed file's rows in strips. */
export async function readRows(
  file: string,
  rowBytes: number,
  height: number,
  breathe: Breathe,
  take: (strip: Buffer, firstRow: number, rows: number) => void,
): Promise<void> {
  const handle = await open(file, 'r');
  try {
    const strip = Buffer.alloc(rowBytes * Math.min(ROWS, height));
    for (let y = 0; y < height; y += ROWS) {
      await breathe();
      const rows = Math.min(ROWS, height - y);
      await readStored(handle, strip.subarray(0, rows * rowBytes), y * rowBytes);
      take(strip, y, rows);
    }
  } finally {
    await handle.close();
  }
}

/** Reads all samples of an uncompressed file into the canvas. */
export async function readSamples(file: string, canvas: Canvas, breathe: Breathe): Promise<void> {
  const bytes = Buffer.from(canvas.data.buffer, canvas.data.byteOffset, canvas.data.byteLength);
  const rowBytes = canvas.data.byteLength / canvas.height;
  await readRows(file, rowBytes, canvas.height, breathe, (strip, y, rows) => {
    strip.copy(bytes, y * rowBytes, 0, rows * rowBytes);
  });
}

/** Writes the canvas's changed rows back into its uncompressed file. */
export async function writeRows(spill: string, canvas: Canvas, changed: Uint8Array): Promise<void> {
  const rowBytes = canvas.data.byteLength / canvas.height;
  const handle = await open(spill, 'r+');
  try {
    for (let y = 0; y < canvas.height; y++) {
      if (!changed[y]) continue;
      let end = y + 1;
      while (end < canvas.height && changed[end] && end - y < ROWS) end++;
      const rows = Buffer.from(
        canvas.data.buffer,
        canvas.data.byteOffset + y * rowBytes,
        (end - y) * rowBytes,
      );
      await handle.write(rows, 0, rows.length, V_HEADER + y * rowBytes);
      y = end - 1;
    }
  } finally {
    await handle.close();
  }
}
