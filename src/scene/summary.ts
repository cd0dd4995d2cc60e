import { apparentSize } from '../camera/ball.js';
import { resolveCamera } from '../camera/resolve.js';
import { shownFov } from '../camera/shown.js';
import type { BallSample, FieldOfView, ProjectionChoice, ViewSample } from '../camera/types.js';
import { frameCount } from '../timeline/frames.js';
import { type Timeline, timelineOf } from '../timeline/sample.js';
import { shotTimes } from '../timeline/shots.js';
import { fastestTurn, type TurningSpeed } from '../timeline/speed.js';
import { clockOf, sceneLength } from '../timeline/timing.js';
import { placeOfLook } from './marks.js';
import { placeText } from './place.js';
import { type Safe, safeOf } from './safe.js';
import type {
  BallKeyframe,
  Keyframe,
  Output,
  Scene,
  Sequence,
  Transition,
  Warning,
} from './types.js';
import { warningsOf } from './warnings.js';

/** Plain data for `orbreel check`: seconds and degrees. */
export interface SceneSummary {
  readonly file: string;
  readonly name: string;
  readonly master: string;
  readonly duration: number;
  /** Of the scene's own time, in which its keyframes lie. */
  readonly length: number;
  readonly loop: boolean;
  readonly fps: number;
  readonly frames: number;
  readonly outputs: readonly OutputSummary[];
  readonly warnings: readonly Warning[];
}

export interface OutputSummary {
  readonly shape: string;
  readonly width: number;
  readonly height: number;
  /** As the scene asks for it; absent when the command line decides. */
  readonly file?: string;
  /** Margins, as shares of the frame's height (top, bottom) and width (left, right). */
  readonly safe: Safe;
  readonly keyframes: readonly KeyframeSummary[];
  readonly fastestTurn: TurningSpeed;
}

/** Every channel's value at a keyframe's time, also those that the keyframe leaves out. */
export interface KeyframeSummary {
  readonly path: string;
  readonly at: number;
  readonly yaw: number;
  readonly pitch: number;
  readonly roll: number;
  /** What the frame shows, also within a morph; along the side last named. */
  readonly fov: FieldOfView;
  readonly projection: ProjectionChoice;
  /** The mark that it looks at, and where that sits in the frame. */
  readonly look?: { readonly mark: string; readonly place: string };
  /** The ball, when there is one in the scene; `appears` is how many degrees it takes up. */
  readonly ball?: Required<BallKeyframe> & { readonly appears: number };
  /** The projection that the picture is turning into at that time, and how far. */
  readonly becoming?: ProjectionChoice & { readonly share: number };
}

/** Plain data of a whole scene file: its shots with the times at which they begin. */
export interface SequenceSummary {
  readonly file: string;
  readonly name: string;
  readonly duration: number;
  readonly fps: number;
  readonly frames: number;
  readonly shots: readonly ShotSummary[];
}

export interface ShotSummary extends SceneSummary {
  /** Seconds of the whole clip. */
  readonly start: number;
  /** How the shot before leads over into it; absent for the first. */
  readonly transition?: Transition;
}

export function summariseSequence(scene: Sequence): SequenceSummary {
  const { file, name, duration, fps, shots, transitions } = scene;
  const times = shotTimes(shots, transitions);
  return {
    ...{ file, name, duration, fps, frames: frameCount(duration, fps) },
    shots: shots.map((shot, index) => {
      const transition = transitions[index - 1];
      return {
        ...{ start: times[index]!.start, ...summarise(shot) },
        ...(transition === undefined ? {} : { transition }),
      };
    }),
  };
}

export function summarise(scene: Scene): SceneSummary {
  const { file, name, master, duration, fps, outputs } = scene;
  return {
    file,
    name,
    master,
    duration,
    length: sceneLength(scene),
    loop: scene.loop ?? false,
    fps,
    frames: frameCount(duration, fps),
    outputs: outputs.map((output) => outputSummary(output, scene)),
    warnings: warningsOf(scene),
  };
}

function outputSummary(output: Output, scene: Scene): OutputSummary {
  const { shape, width, height, file, keyframes } = output;
  const timeline = timelineOf(scene, output);
  const clock = clockOf(scene);
  const inClip = { at: (seconds: number) => timeline.at(clock(seconds)) };
  return {
    shape,
    width,
    height,
    ...(file === undefined ? {} : { file }),
    safe: safeOf(output),
    keyframes: keyframes.map((keyframe) => keyframeSummary(timeline, output, keyframe)),
    fastestTurn: fastestTurn(inClip, scene.duration, scene.fps),
  };
}

function keyframeSummary(timeline: Timeline, output: Output, keyframe: Keyframe): KeyframeSummary {
  const { path, at, look } = keyframe;
  const sample = timeline.at(at);
  const { from, to, mix: share } = sample.projection;
  const only = ({ name, params }: ProjectionChoice): ProjectionChoice => ({ name, params });
  return {
    path,
    at,
    ...timeline.angles(at),
    fov: fovOf(sample, output),
    projection: only(from),
    ...(look && { look: { mark: look.name, place: placeText(placeOfLook(keyframe)) } }),
    ...(sample.ball === undefined ? {} : { ball: ballSummary(sample.ball) }),
    ...(share === 0 || isSame(from, to) ? {} : { becoming: { ...only(to), share } }),
  };
}

const isSame = (one: ProjectionChoice, other: ProjectionChoice): boolean =>
  one.name === other.name &&
  Object.entries(one.params).every(([name, value]) => other.params[name] === value);

function fovOf(sample: ViewSample, { width, height }: Output): FieldOfView {
  const { from, to, mix: share } = sample.fov;
  if (share === 0) return from;
  const { side } = to;
  return { degrees: shownFov(resolveCamera(sample, width, height), side, width, height), side };
}

function ballSummary({ look, ...place }: BallSample): NonNullable<KeyframeSummary['ball']> {
  return { ...place, appears: apparentSize(place.size, place.distance) ?? 180 };
}
