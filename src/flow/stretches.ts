import type { Sequence } from '../scene/types.js';
import { frameTime } from '../timeline/frames.js';
import { shotsAt } from '../timeline/shots.js';

/** Frames one after the other in which the same shots are seen. */
export interface Stretch {
  /** One, or the two that a transition mixes. */
  readonly shots: readonly number[];
  /** Numbers of frames of the whole clip. */
  readonly frames: readonly number[];
}

export function stretchesOf(scene: Sequence, frames: readonly number[]): readonly Stretch[] {
  const stretches: { shots: readonly number[]; frames: number[] }[] = [];
  for (const frame of frames) {
    const shots = shotsAt(scene, frameTime(frame, scene.fps)).map(({ shot }) => shot);
    const last = stretches.at(-1);
    if (last?.shots.join() === shots.join()) last.frames.push(frame);
    else stretches.push({ shots, frames: [frame] });
  }
  return stretches;
}
