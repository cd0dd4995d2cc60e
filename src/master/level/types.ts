import type { Angles } from '../../camera/orientation.js';

/** A place in the master: pixels from its upper left corner (0.5 is the first pixel's middle), or degrees. */
export type HorizonPoint =
  | { readonly x: number; readonly y: number }
  | { readonly longitude: number; readonly latitude: number };

/**
 * How the camera stood, in degrees, as GPano's pose has it: pitch positive where it looked up, roll positive
 * where it was turned clockwise seen from behind (the horizon then runs counter-clockwise in the picture).
 */
export interface Lean {
  readonly pitch: number;
  readonly roll: number;
}

export type HorizonMethod = 'horizon' | 'verticals' | 'horizon and verticals';

/** What the picture itself says of how the camera stood. */
export interface HorizonEstimate extends Lean {
  /** The angle between the picture's vertical and the true one, in degrees. */
  readonly tilt: number;
  /** The longitude in degrees towards which the picture's zenith must be tipped to stand upright. */
  readonly axis: number;
  /** 0 to 1: how likely it is that the estimate is within 1.5 degrees. */
  readonly confidence: number;
  /** Whether that is enough to act on. */
  readonly sure: boolean;
  readonly method: HorizonMethod;
  /** One sentence: what was found, or why not. */
  readonly reason: string;
}

export interface LevelOptions {
  /** A whole sphere's picture: JPEG, PNG, TIFF, WebP or AVIF of 8 or 16 bits. */
  readonly input: string;
  /** Its ending chooses the format. Never the input. */
  readonly output: string;
  readonly overwrite?: boolean;
  /**
   * Degrees: the new picture is what a camera turned so sees. Yaw 30 brings to the centre what was 30
   * degrees right of it; pitch 10 what was 10 degrees above it; roll 5 turns the picture there 5 degrees
   * counter-clockwise. Roll first, then pitch, then yaw.
   */
  readonly yaw?: number;
  readonly pitch?: number;
  readonly roll?: number;
  /** At least two places on the horizon; the great circle closest to them becomes the horizon. */
  readonly horizon?: readonly HorizonPoint[];
  /** Find the horizon in the picture; nothing is done when unsure. */
  readonly auto?: boolean;
  /**
   * Compass heading of the master's centre, 0 to below 360 degrees clockwise from north: the new centre
   * faces north. Alone, or with `horizon` or `auto`.
   */
  readonly north?: number;
  /** Quality 1 to 100 of JPEG, WebP and AVIF output. Default 95. */
  readonly quality?: number;
  /** Threads that resample; by default one for each core. */
  readonly threads?: number;
  /** Called often: what is being done and the share of the whole, 0 to 1. */
  readonly onProgress?: (step: string, share: number) => void;
  readonly signal?: AbortSignal;
}

export interface LevelReport {
  /** `turned`: the output was written. `level`: it stands level already; `unsure`: neither is written. */
  readonly status: 'turned' | 'level' | 'unsure';
  readonly size: { readonly width: number; readonly height: number; readonly depth: 8 | 16 };
  /** How the camera stood, where the horizon was given or found. */
  readonly lean?: Lean | undefined;
  /** What was done to the sphere, in the terms of `yaw`, `pitch` and `roll`; all 0 when nothing. */
  readonly turn: Angles;
  /** The new picture's pose for its metadata; the heading where it is known. */
  readonly pose: Lean & { readonly heading?: number };
  /** With `auto`. */
  readonly found?: HorizonEstimate | undefined;
  /** With `horizon`: how far, in degrees, the points lie from the great circle. */
  readonly fit?:
    | { readonly points: number; readonly rms: number; readonly worst: number }
    | undefined;
  /** What the user should know, a sentence each. */
  readonly notes: readonly string[];
}
