import { type Angles, anglesOf, orientationOf, slerpOrientation } from '../camera/orientation.js';
import type {
  FieldOfView,
  Orientation,
  ProjectionChoice,
  ProjectionEnd,
  ViewSample,
} from '../camera/types.js';
import type { FovSide, Keyframe } from '../scene/types.js';
import { eased } from './easing.js';
import {
  blendAt,
  lastAtOrBefore,
  numberAt,
  type Stop,
  stopsAt,
  type Track,
  trackOf,
} from './tracks.js';

export interface Timeline {
  /** What the keyframes say of the instant `seconds`. */
  at(seconds: number): ViewSample;
  /** Yaw, pitch and roll then, in degrees: as written, so that a second turn counts on from 360. */
  angles(seconds: number): Angles;
}

export const DEFAULT_FOV = 90;
export const DEFAULT_PROJECTION = 'rectilinear';

/** A stretch of time turned along the great circle. */
interface Turn {
  readonly at: number;
  readonly until: number;
  readonly from: Orientation;
  readonly to: Orientation;
  readonly ease: Keyframe['ease'];
}

/** `keyframes` ascending in time, at least one. */
export function buildTimeline(keyframes: readonly Keyframe[]): Timeline {
  const yaw = trackOf(keyframes, (keyframe) => keyframe.yaw, 0);
  const pitch = trackOf(keyframes, (keyframe) => keyframe.pitch, 0);
  const roll = trackOf(keyframes, (keyframe) => keyframe.roll, 0);
  const fov = fovTrack(keyframes);
  const projection = trackOf<ProjectionChoice>(keyframes, (keyframe) => keyframe.projection, {
    name: DEFAULT_PROJECTION,
    params: {},
  });
  const written = (seconds: number): Angles => ({
    yaw: numberAt(yaw, seconds),
    pitch: numberAt(pitch, seconds),
    roll: numberAt(roll, seconds),
  });
  const turns = shortestTurns(keyframes, (seconds) => oriented(written(seconds)));
  const turnAt = (seconds: number): Turn | undefined => {
    const turn = turns[lastAtOrBefore(turns, seconds)];
    return turn && seconds < turn.until ? turn : undefined;
  };
  const endOf = ({ at, value }: Stop<ProjectionChoice>): ProjectionEnd => ({
    ...value,
    fov: blendAt(fov, at),
  });

  return {
    at(seconds) {
      const turn = turnAt(seconds);
      const { from, to, mix } = stopsAt(projection, seconds);
      return {
        orientation: turn ? orientationIn(turn, seconds) : oriented(written(seconds)),
        fov: blendAt(fov, seconds),
        projection: { from: endOf(from), to: endOf(to), mix },
      };
    },
    angles(seconds) {
      const turn = turnAt(seconds);
      return turn ? anglesOf(orientationIn(turn, seconds)) : written(seconds);
    },
  };
}

const oriented = ({ yaw, pitch, roll }: Angles): Orientation => orientationOf(yaw, pitch, roll);

/** Each fov is measured along the side that the last keyframe up to it names. */
function fovTrack(keyframes: readonly Keyframe[]): Track<FieldOfView> {
  let side: FovSide = keyframes.find((keyframe) => keyframe.fovSide)?.fovSide ?? 'shorter';
  const fallback = { degrees: DEFAULT_FOV, side };
  side = 'shorter';
  return trackOf<FieldOfView>(
    keyframes,
    (keyframe) => {
      side = keyframe.fovSide ?? side;
      return keyframe.fov === undefined ? undefined : { degrees: keyframe.fov, side };
    },
    fallback,
  );
}

const setsAngle = (keyframe: Keyframe): boolean =>
  keyframe.yaw !== undefined || keyframe.pitch !== undefined || keyframe.roll !== undefined;

/** From each keyframe that asks for it to the next that sets an angle. */
function shortestTurns(
  keyframes: readonly Keyframe[],
  asWritten: (seconds: number) => Orientation,
): readonly Turn[] {
  const turns: Turn[] = [];
  let next: Keyframe | undefined;
  for (const keyframe of keyframes.toReversed()) {
    if (keyframe.turn === 'shortest' && next !== undefined) {
      const [at, until] = [keyframe.at, next.at];
      turns.push({ at, until, from: asWritten(at), to: asWritten(until), ease: keyframe.ease });
    }
    if (setsAngle(keyframe)) next = keyframe;
  }
  return turns.reverse();
}

function orientationIn(turn: Turn, seconds: number): Orientation {
  const share = eased(turn.ease, (seconds - turn.at) / (turn.until - turn.at));
  return slerpOrientation(turn.from, turn.to, share);
}
