interface Size {
  readonly width: number;
  readonly height: number;
}

export interface Pixels8 extends Size {
  readonly depth: 8;
  /** width * height * 3 samples. */
  readonly data: Uint8Array;
}

export interface Pixels16 extends Size {
  readonly depth: 16;
  readonly data: Uint16Array;
}

/** Pixels of an equirectangular picture: RGB, sRGB-encoded, rows from the top, tightly packed. */
export type Pixels = Pixels8 | Pixels16;
export type Depth = Pixels['depth'];
export type Samples = Pixels['data'];

/** The two fit each other by construction only; this is where that is said. */
export function pixels(width: number, height: number, data: Samples): Pixels {
  return data instanceof Uint16Array
    ? { width, height, depth: 16, data }
    : { width, height, depth: 8, data };
}

export function newSamples(depth: Depth, length: number): Samples {
  return depth === 16 ? new Uint16Array(length) : new Uint8Array(length);
}
