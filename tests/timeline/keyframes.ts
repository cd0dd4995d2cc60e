import type { Ease, Keyframe } from '../../src/scene/types.js';

export const linear: Ease = { kind: 'linear' };

/** Keyframes with a linear ease and turning as written, unless they say otherwise. */
export const keyframes = (...list: (Partial<Keyframe> & { at: number })[]): Keyframe[] =>
  list.map((fields, index) => ({
    ease: linear,
    turn: 'as-written',
    path: `keyframes[${index}]`,
    ...fields,
  }));
