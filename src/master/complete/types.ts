import type { PlacementOptions } from './placement.js';

/** Three values in code units of 8 bit (0 to 255), whatever the master's depth. */
export type Rgb = readonly [red: number, green: number, blue: number];

/**
 * The whole 2:1 canvas in memory. Samples are RGB interleaved, code values as stored (0 to 255 or to
 * 65535), row 0 at the zenith, column 0 just right of longitude -180°.
 */
export interface Canvas {
  readonly width: number;
  readonly height: number;
  readonly depth: 8 | 16;
  readonly data: Uint8Array | Uint16Array;
  /** One byte a pixel: 1 where the pixel is to be filled. */
  readonly hole: Uint8Array;
}

export type FillName = 'smooth' | 'texture' | 'colour' | 'patch';

/** A round picture laid over the nadir or the zenith, such as the user's own mark. */
export interface PatchOptions {
  readonly image: string;
  /** Angular radius in degrees, 0 to 90. Default 12. */
  readonly radius?: number;
  /** Width in degrees of the soft edge, inside the radius. Default a tenth of the radius. */
  readonly feather?: number;
  readonly at?: 'nadir' | 'zenith';
  /** Degrees clockwise as seen when looking at it. 0: its top points to the master's centre column
   * at the nadir, away from it at the zenith (how a camera pitched straight down or up sees it). */
  readonly turn?: number;
}

export interface CompleteOptions {
  /** The master's file: anything sharp reads, RGB or grey, 8 or 16 bit, with or without alpha. */
  readonly input: string;
  /** The file to write; its ending chooses the format. Never the input, never replaced unasked. */
  readonly output: string;
  readonly overwrite?: boolean;
  readonly place?: PlacementOptions;
  /** A picture that is bright where pixels are to be replaced: of the input's size, or 2:1. */
  readonly mask?: string;
  /** How holes are filled. Default `texture`. `patch` needs `patch`, and fills below it with texture. */
  readonly fill?: FillName;
  /** For `colour`: code values 0 to 255. Default: the mean of each hole's rim. */
  readonly colour?: Rgb;
  readonly patch?: PatchOptions;
  /** Any integer; the same seed gives the same file. Default 1. */
  readonly seed?: number;
  /** Quality 1 to 100 of JPEG, WebP and AVIF output. Default 95. */
  readonly quality?: number;
  /** Called often: what is being done and the share of the whole, 0 to 1. */
  readonly onProgress?: (step: string, share: number) => void;
  readonly signal?: AbortSignal;
}

export interface HoleReport {
  /** Degrees. */
  readonly centre: { readonly longitude: number; readonly latitude: number };
  /** Degrees from the centre to the farthest pixel. */
  readonly radius: number;
  /** Steradians; the sphere has 4 pi. */
  readonly solidAngle: number;
  /** Pixels of the canvas. */
  readonly pixels: number;
  readonly filledBy: 'smooth' | 'texture' | 'colour';
  /** Standard deviation of the noise found beside the rim, in 8-bit code values. */
  readonly noise: number;
}

export interface CompleteReport {
  readonly canvas: { readonly width: number; readonly height: number; readonly depth: 8 | 16 };
  /** Where the input lies on the canvas, in pixels. */
  readonly placed: {
    readonly left: number;
    readonly top: number;
    readonly width: number;
    readonly height: number;
  };
  /** Share of the sphere (by solid angle) that was known before, 0 to 1. */
  readonly known: number;
  /** Largest first. */
  readonly holes: readonly HoleReport[];
  readonly patched: boolean;
  /** What the user should know, a sentence each. */
  readonly notes: readonly string[];
}
