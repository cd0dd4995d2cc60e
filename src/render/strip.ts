import type { Texture2D } from 'regl';
import type { Samples } from '../master/pixels.js';
import { wrapped } from '../math.js';
import { GUTTER } from './atlas.js';
import { DEEP_FORMATS, packDeep } from './deep.js';

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
 * @param low for 16 bits, the page of what the other cannot hold
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
  const bytes = width * (low === undefined ? 3 : 4);
  const capacity = Math.max(1, Math.min(place.height, Math.floor(STRIP_BYTES / bytes)));
  let gathered: Gathered | undefined;
  let first = 0;
  let count = 0;

  const flush = () => {
    if (count === 0 || gathered === undefined) return;
    if (low === undefined) upload(high, gathered.high, { format: 'rgb' });
    else {
      upload(high, gathered.high, { format: DEEP_FORMATS.high });
      upload(low, gathered.low, { format: DEEP_FORMATS.low, type: DEEP_FORMATS.low });
    }
    count = 0;
  };
  const upload = (page: Texture2D, rows: Uint8Array | Uint16Array, kind: object) => {
    const data = rows.subarray(0, (count * rows.length) / capacity);
    // The types know only whole pictures here.
    page.subimage({ width, height: count, data, ...kind } as never, place.x - GUTTER, first);
  };

  return {
    flush,
    add(y, codes, shift) {
      if (count === capacity || y !== first + count) flush();
      if (count === 0) first = y;
      gathered ??= gather(capacity * width, low !== undefined);
      let x = wrapped(left + shift, levelWidth);
      for (let filled = 0; filled < width; ) {
        const texels = Math.min(width - filled, levelWidth - x);
        copy(codes.subarray(x * 3, (x + texels) * 3), gathered, count * width + filled);
        filled += texels;
        x = 0;
      }
      count++;
    },
  };
}

/** Rows as they are uploaded. */
interface Gathered {
  readonly high: Uint8Array;
  /** The same memory, RGBA at a time. */
  readonly words: Uint32Array;
  readonly low: Uint16Array;
}

function gather(texels: number, deep: boolean): Gathered {
  if (!deep) {
    return { high: new Uint8Array(texels * 3), words: new Uint32Array(), low: new Uint16Array() };
  }
  const words = new Uint32Array(texels);
  return { high: new Uint8Array(words.buffer), words, low: new Uint16Array(texels) };
}

function copy(codes: Samples, { high, words, low }: Gathered, texel: number): void {
  if (codes instanceof Uint16Array) packDeep(codes, words, low, texel);
  else high.set(codes, texel * 3);
}
