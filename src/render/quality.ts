/** `draft` is for looking at the movement, `final` for delivery, `best` for what must stand any scrutiny. */
export type Quality = 'draft' | 'final' | 'best';

export const QUALITIES: readonly Quality[] = ['draft', 'final', 'best'];

export interface Sampling {
  /** Rays along each side of a pixel; 0 for 16 to 64 a pixel, as its footprint on the master asks for. */
  readonly samples: number;
  /** Bilinear lookups in linear light and full precision, rather than the hardware's. */
  readonly exact: boolean;
  /** Bicubic lookups where the master is magnified. */
  readonly cubic: boolean;
  /** Pixels by which places may be off where they are told from their neighbours'; 0: none are. */
  readonly tolerance: number;
  /** Whether that may be done over several pixels. */
  readonly mesh: boolean;
  /** Rays along a pixel's side for each of a motion-blurred frame's exposures, of which there are many. */
  readonly samplesInMotion: number;
  /** Exposures for each pixel that the picture moves while the shutter is open, and the least and most. */
  readonly exposuresPerPixel: number;
  readonly leastExposures: number;
  readonly mostExposures: number;
}

export const SAMPLING: Readonly<Record<Quality, Sampling>> = {
  draft: {
    samples: 1,
    exact: false,
    cubic: false,
    tolerance: 0.15,
    mesh: true,
    samplesInMotion: 1,
    exposuresPerPixel: 0.25,
    leastExposures: 2,
    mostExposures: 8,
  },
  final: {
    samples: 2,
    exact: false,
    cubic: true,
    tolerance: 0.05,
    mesh: false,
    samplesInMotion: 1,
    exposuresPerPixel: 1,
    leastExposures: 4,
    mostExposures: 64,
  },
  best: {
    samples: 0,
    exact: true,
    cubic: true,
    tolerance: 0,
    mesh: false,
    samplesInMotion: 2,
    exposuresPerPixel: 16,
    leastExposures: 128,
    mostExposures: 256,
  },
};

/** Half of the longer side from which raysFor has no rays left for every two texels. */
const LEAST_SHRUNK = 7;

/** Texels of the master that a pixel may be wide before its lookups stand for more than one each. */
export function texelsBeforeShrinking(samples: number, exposures: number): number {
  // Twins of raysFor in shaders/common/footprint.glsl and of reachOf in view.glsl.
  if (samples === 0) return LEAST_SHRUNK;
  return (samples * Math.sqrt(exposures)) / (samples === 1 ? 1 : 0.8);
}
