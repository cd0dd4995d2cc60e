import { readFile } from 'node:fs/promises';
import type { Depth, Samples } from '../pixels.js';
import { LightCanvas } from './light.js';
import { MOST_PIXELS } from './picture.js';
import { wholeRows } from './rows.js';
import type { Source, Wrong } from './types.js';

/**
 * Radiance HDR: rows of red, green, blue and a shared exponent, plain or run-length coded. Primaries are
 * taken as BT.709's, since next to no file says otherwise. ffmpeg reads it too, but many builds do not.
 *
 * Source: Greg Ward, "Real Pixels", Graphics Gems II (1991); Radiance's file format description
 * (radsite.lbl.gov/radiance/refer/filefmts.pdf), from memory.
 */
export async function readRadiance(file: string, wrong: Wrong): Promise<Source> {
  const bytes = await readFile(file);
  const head = bytes.subarray(0, 65536).toString('latin1');
  const found = /\n\n-Y (\d+) \+X (\d+)\n/.exec(head);
  if (found === null || /^FORMAT=32-bit_rle_xyze/m.test(head)) {
    throw wrong(
      'expected a Radiance HDR picture of RGB with its rows from the top, found another kind: save it as OpenEXR',
    );
  }
  const [height, width] = [Number(found[1]), Number(found[2])];
  if (width * height > MOST_PIXELS) {
    throw wrong(
      `its header claims ${width}x${height} pixels, more than any master has: the file is damaged or made to harm`,
    );
  }
  const start = found.index + found[0].length;
  return {
    header: { width, height },
    rows({ keepDepth }) {
      const depth = keepDepth ? 16 : 8;
      return wholeRows(
        width,
        height,
        depth,
        decode(bytes.subarray(start), width, height, depth, wrong),
      );
    },
  };
}

async function decode(
  bytes: Uint8Array,
  width: number,
  height: number,
  depth: Depth,
  wrong: Wrong,
): Promise<Samples> {
  const canvas = new LightCanvas(width * height, depth);
  const row = new Uint8Array(width * 4);
  let at = 0;
  for (let y = 0; y < height; y++) {
    at = readRow(bytes, at, row);
    if (at < 0) throw wrong('the picture ends early: export it again from the original');
    for (let x = 0; x < width; x++) {
      const exponent = row[x * 4 + 3]!;
      // The mantissas mean the middle of their step.
      const scale = exponent === 0 ? 0 : 2 ** (exponent - 136);
      for (let c = 0; c < 3; c++) canvas.set(y * width + x, c, (row[x * 4 + c]! + 0.5) * scale);
    }
  }
  return canvas.data;
}

/** Reads one row's quadruples; gives where the next begins, or -1 when the data end or are wrong. */
function readRow(bytes: Uint8Array, from: number, row: Uint8Array): number {
  const width = row.length / 4;
  const isCoded =
    width >= 8 &&
    width < 32768 &&
    bytes[from] === 2 &&
    bytes[from + 1] === 2 &&
    bytes[from + 2]! * 256 + bytes[from + 3]! === width;
  if (!isCoded) {
    if (from + row.length > bytes.length) return -1;
    row.set(bytes.subarray(from, from + row.length));
    return from + row.length;
  }
  let at = from + 4;
  for (let channel = 0; channel < 4; channel++) {
    for (let x = 0; x < width; ) {
      const count = bytes[at++] ?? 0;
      const isRun = count > 128;
      const length = isRun ? count - 128 : count;
      if (length === 0 || x + length > width || at + (isRun ? 1 : length) > bytes.length) return -1;
      for (let k = 0; k < length; k++) row[x++ * 4 + channel] = bytes[isRun ? at : at + k]!;
      at += isRun ? 1 : length;
    }
  }
  return at;
}
