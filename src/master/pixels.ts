/** Pixels of an equirectangular picture: RGB, 8 bits, sRGB-encoded, rows from the top, tightly packed. */
export interface Pixels {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8Array;
}
