import { type Angles, anglesOf } from '../camera/orientation.js';
import type { ProjectionChoice, ProjectionEnd, ViewSample } from '../camera/types.js';
import type { Keyframe, Output, Scene } from '../scene/types.js';
import { ballTrack } from './ball.js';
import { type Circumstances, fovTrack, numberTrack, projectionTrack } from './channels.js';
import { lapped } from './laps.js';
import { evenly } from './pace.js';
import { lapOf } from './timing.js';
import { between, blendAt, numberAt, type Stop } from './tracks.js';
import { bendsOf, oriented, sweepAt, sweepsOf } from './turning.js';

export type Framing = Omit<ViewSample, 'orientation'>;

/** What the keyframes say, over the scene's own time. */
export interface Timeline {
  /** What the keyframes say of the instant `seconds`. */
  at(seconds: number): ViewSample;
  /** The same without the turning. */
  framing(seconds: number): Framing;
  /** Yaw, pitch and roll then, in degrees: as written, so that a second turn counts on from 360. */
  angles(seconds: number): Angles;
}

export { DEFAULT_FOV, DEFAULT_PROJECTION } from './channels.js';

/** The timeline of one of a scene's outputs. */
export function timelineOf(scene: Scene, { keyframes, width, height }: Output): Timeline {
  return buildTimeline(keyframes, { frame: { width, height }, period: lapOf(scene) });
}

/**
 * `keyframes` ascending in time, at least one. With a `period`, in seconds, the last leads on to the
 * first again. The `frame` matters only to how smooth paths zoom where fovs are measured along
 * different sides.
 */
export function buildTimeline(
  keyframes: readonly Keyframe[],
  { frame = { width: 1, height: 1 }, period }: Partial<Circumstances> = {},
): Timeline {
  const circumstances = { frame, period };
  const yaw = numberTrack(keyframes, (keyframe) => keyframe.yaw, period);
  const pitch = numberTrack(keyframes, (keyframe) => keyframe.pitch, period);
  const roll = numberTrack(keyframes, (keyframe) => keyframe.roll, period);
  const projection = projectionTrack(keyframes, period);
  const fov = fovTrack(keyframes, projection, circumstances);
  const written = (seconds: number): Angles => ({
    yaw: numberAt(yaw, seconds),
    pitch: numberAt(pitch, seconds),
    roll: numberAt(roll, seconds),
  });
  const ball = ballTrack(keyframes, period);
  const bends = bendsOf(keyframes);
  const laps = period === undefined || bends.length === 0 ? bends : lapped(bends, period);
  const sweeps = sweepsOf(laps, (seconds) => oriented(written(seconds)));
  const turnedTo = (seconds: number) => sweepAt(sweeps, seconds) ?? oriented(written(seconds));
  const evened = evenly(laps, turnedTo, period);
  const inLap = (seconds: number) =>
    period === undefined ? seconds : seconds - period * Math.floor(seconds / period);
  const endOf = ({ at, value }: Stop<ProjectionChoice>): ProjectionEnd => ({
    ...value,
    fov: blendAt(fov, at),
  });

  const framing = (seconds: number): Framing => {
    const now = inLap(seconds);
    const { from, to, mix } = between(projection, now);
    return {
      fov: blendAt(fov, now),
      projection: { from: endOf(from), to: endOf(to), mix },
      ...(ball && { ball: ball(now) }),
    };
  };

  return {
    framing,
    at: (seconds) => ({ orientation: turnedTo(evened(inLap(seconds))), ...framing(seconds) }),
    angles(seconds) {
      const now = evened(inLap(seconds));
      const swept = sweepAt(sweeps, now);
      return swept ? anglesOf(swept) : written(now);
    },
  };
}
