import type { BallSample } from '../camera/types.js';
import type { BallKeyframe, Keyframe } from '../scene/types.js';
import { numberTrack, type Period } from './channels.js';
import { numberAt } from './tracks.js';

/** Over the master's centre, about as wide as a hand's span at arm's length: our choice. */
export const BALL_DEFAULTS: Required<BallKeyframe> = { yaw: 0, pitch: 0, size: 25, distance: 1 };

/** The ball over time; undefined when there is none in the scene. Its channels go their own ways. */
export function ballTrack(
  keyframes: readonly Keyframe[],
  period?: Period,
): ((seconds: number) => BallSample) | undefined {
  const look = keyframes.find(({ ballLook }) => ballLook !== undefined)?.ballLook;
  if (look === undefined) return undefined;
  const track = (name: keyof BallKeyframe, steady = false) =>
    numberTrack(keyframes, ({ ball }) => ball?.[name], period, {
      usual: BALL_DEFAULTS[name],
      steady,
    });
  const [yaw, pitch] = [track('yaw'), track('pitch')];
  const [size, distance] = [track('size', true), track('distance', true)];
  return (seconds) => ({
    look,
    yaw: numberAt(yaw, seconds),
    pitch: numberAt(pitch, seconds),
    size: numberAt(size, seconds),
    distance: numberAt(distance, seconds),
  });
}
