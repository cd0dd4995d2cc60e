import type { Quality } from '../encode/types.js';

/** Rays along each side of a pixel. */
export const SAMPLES: Readonly<Record<Quality, number>> = { draft: 1, final: 2 };
