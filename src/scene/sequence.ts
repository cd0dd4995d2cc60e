import { basename, extname, resolve } from 'node:path';
import { shotTimes } from '../timeline/shots.js';
import type { Scene, Sequence, SequenceOutput, Transition } from './types.js';

/**
 * Shots put one after the other.
 *
 * @param shots at least one; all with the same outputs and frame rate
 * @param transitions one between each two shots
 */
export function sequenceOf(
  file: string,
  shots: readonly Scene[],
  transitions: readonly Transition[] = [],
): Sequence {
  const { fps, outputs, sound } = shots[0]!;
  return {
    file: resolve(file),
    name: basename(file, extname(file)),
    duration: shotTimes(shots, transitions).at(-1)!.end,
    fps,
    sound,
    outputs: outputs.map(
      ({ shape, width, height, file }, index): SequenceOutput => ({
        ...{ shape, width, height, index },
        ...(file === undefined ? {} : { file }),
      }),
    ),
    shots,
    transitions,
  };
}
