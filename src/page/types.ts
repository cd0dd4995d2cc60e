import type { TilesLayout } from './layout.js';

/** Where a viewer looks, in degrees; `fov` across the frame's shorter side. */
export interface StartView {
  readonly yaw: number;
  readonly pitch: number;
  readonly fov: number;
}

/** One stretch of camera samples without a cut, all of them through lenses of the same projections. */
export interface Run {
  readonly projections: readonly [string] | readonly [string, string];
  /** How many samples it has. */
  readonly count: number;
}

/**
 * The camera's way, sampled. Each sample is a unit quaternion (x, y, z, w) and, for each lens, half the
 * frame's shorter side in plane units and the projection's parameter (0 without one); with two lenses
 * then the second one's share. 32-bit floats, little-endian, as base64.
 */
export interface Moves {
  /** Width by height of the frame that they were made for. */
  readonly aspect: number;
  /** Samples a second. */
  readonly rate: number;
  /** Whether the sample after the last is the first. */
  readonly loop: boolean;
  readonly runs: readonly Run[];
  readonly samples: string;
}

/** What a page is called that was given no title; it is not shown. */
export const USUAL_TITLE = 'All around';

/** All that a page knows. */
export interface PageData {
  readonly title: string;
  readonly caption: string;
  readonly credit: string;
  readonly picture: TilesLayout;
  readonly start: StartView;
  /** One for each kind of frame that has moves of its own; none for a page that only lets look around. */
  readonly moves: readonly Moves[];
  /** Where the tiles lie that are not in the page itself, relative to it. */
  readonly tiles?: string;
}

/** Values of one lens's sample. */
export const LENS_VALUES = 2;
/** Values of one sample. */
export const strideOf = ({ projections }: Run): number =>
  4 + LENS_VALUES * projections.length + (projections.length === 2 ? 1 : 0);
