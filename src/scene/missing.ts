import { keyframesTake, type SceneFields } from './schema.js';
import { durationTakes } from './time.js';
import { complaint } from './words.js';

/** Moves say what happens and for how long; without them keyframes and duration must, and timing needs it. */
export function missingFields({
  moves,
  keyframes,
  duration,
  timing,
}: Pick<Partial<SceneFields>, 'moves' | 'keyframes' | 'duration' | 'timing'>) {
  const needsDuration = moves === undefined || timing !== undefined;
  const needsKeyframes = moves === undefined;
  return [
    ...(needsDuration && duration === undefined
      ? [{ name: 'duration', message: complaint(durationTakes, undefined) }]
      : []),
    ...(needsKeyframes && keyframes === undefined
      ? [{ name: 'keyframes', message: complaint(keyframesTake, undefined) }]
      : []),
  ];
}
