import type { Texture2D } from 'regl';
import type { Samples } from '../master/pixels.js';
import { GUTTER } from './atlas.js';

/** Bytes of a page that are gathered before they are uploaded: enough that the calls do not count. */
const STRIP_BYTES = 2 ** 20;

/** Gathers a level's rows for one page and uploads them some at a time. */
export interface Strip {
  /**
   * @param y row of the page
   * @param codes the level's whole row
   * @param shift columns by which the row is turned to the left
   */
  add(y: number, codes: Samples, shift: number): void;
  flush(): void;
}

/**
 * @param low the page of low bytes, for 16 bits
 * @param place where the level lies on the page, without its gutter
 * @param left the level's column in the first column of the gutter; may be negative
 * @param levelWidth columns of the whole level
 */
export function createStrip(
  high: Texture2D,
  low: Texture2D | undefined,
  place: { readonly x: number; readonly width: number; readonly height: number },
  left: number,
  levelWidth: number,
): Strip {
  const width = place.width + 2 * GUTTER;
  const bytes = width * 3;
  const capacity = Math.max(1, Math.min(place.height, Math.floor(STRIP_BYTES / bytes)));
  let planes: Uint8Array[] | undefined;
  let first = 0;
  let count = 0;

  const flush = () => {
    if (count === 0 || planes === undefined) return;
    const [upper, lower] = planes as [Uint8Array, Uint8Array?];
    upload(high, upper);
    if (low !== undefined) upload(low, lower!);
    count = 0;
  };
  const upload = (page: Texture2D, rows: Uint8Array) => {
    const data = rows.subarray(0, count * bytes);
    // The types know only whole pictures here.
    const part = { width, height: count, data, format: 'rgb' } as never;
    page.subimage(part, place.x - GUTTER, first);
  };

  return {
    flush,
    add(y, codes, shift) {
      if (count === capacity || y !== first + count) flush();
      if (count === 0) first = y;
      planes ??= (low === undefined ? [0] : [0, 1]).map(() => new Uint8Array(capacity * bytes));
      let x = (((left + shift) % levelWidth) + levelWidth) % levelWidth;
      for (let filled = 0; filled < bytes; ) {
        const length = Math.min(bytes - filled, (levelWidth - x) * 3);
        copy(codes.subarray(x * 3, x * 3 + length), planes, count * bytes + filled);
        filled += length;
        x = 0;
      }
      count++;
    },
  };
}

function copy(codes: Samples, [high, low]: readonly Uint8Array[], at: number): void {
  if (low === undefined) {
    high!.set(codes, at);
    return;
  }
  for (let i = 0; i < codes.length; i++) {
    const code = codes[i]!;
    high![at + i] = code >> 8;
    low[at + i] = code;
  }
}
