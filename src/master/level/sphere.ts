import type { Samples } from '../pixels.js';

/** A whole sphere's code values: RGB, rows from the top, tightly packed; an even width. */
export interface Sphere {
  readonly width: number;
  readonly height: number;
  readonly data: Samples;
  /** For wide kernels to read near the poles; without them, they read the texels. */
  readonly polar?: readonly PolarRows[];
}

/**
 * Rows near the poles, averaged along themselves by 2, 4 and 8 texels. A kernel that is many texels wide there
 * reads them instead, at a fraction of the lookups: it is at least four of the averages wide to either lobe, so
 * that they take at most 2.6 % (1 - sinc(1/8)) off the finest waves that it lets through.
 */
export interface PolarRows {
  /** Texels in one average; kernels widened to `from` times and more may use it. */
  readonly factor: number;
  readonly from: number;
  /** Averages in a row. */
  readonly width: number;
  /** As many of the first rows, and of the last ones, are there. */
  readonly count: number;
  /** RGB, the first rows and then the last ones, in memory that threads can share. */
  readonly data: Float32Array;
}
