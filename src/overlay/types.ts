import type { Colour } from '../scene/types.js';

/** Straight alpha, 8 bits a channel, rows from the top. */
export interface Raster {
  readonly rgba: Uint8Array;
  readonly width: number;
  readonly height: number;
}

/** A raster and where its top left corner lies in the frame, in pixels; it may reach beyond the frame. */
export interface PlacedRaster extends Raster {
  readonly left: number;
  readonly top: number;
}

export type { Colour };
