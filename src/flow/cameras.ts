import { type Passage, throughPlanet } from '../camera/planetPassage.js';
import { resolveCamera } from '../camera/resolve.js';
import type { Camera } from '../camera/types.js';
import { isSphere } from '../scene/shapes.js';
import type { Scene, Sequence, SequenceOutput, Transition } from '../scene/types.js';
import { timelineOf } from '../timeline/sample.js';
import { clockOf } from '../timeline/timing.js';

/** The camera of a shot at an instant, in seconds from the shot's own start. */
export type CameraAt = (seconds: number) => Camera;

/** The cameras of a sequence's shots in one output's frame, each made when it is first asked for. */
export function camerasOf(scene: Sequence, output: SequenceOutput): (shot: number) => CameraAt {
  const made = new Map<number, CameraAt>();
  return (shot) => {
    const cameraAt = made.get(shot) ?? cameraOf(scene, shot, output);
    made.set(shot, cameraAt);
    return cameraAt;
  };
}

function cameraOf(scene: Sequence, shot: number, output: SequenceOutput): CameraAt {
  const { shape, width, height } = output;
  const own = ownCamera(scene.shots[shot]!, output);
  // A whole sphere stays one: its planets would be no sphere any more.
  if (isSphere(shape)) return own;
  return passagesOf(scene.transitions, shot, scene.shots[shot]!.duration).reduce<CameraAt>(
    (cameraAt, passage) => throughPlanet(cameraAt, passage, width, height),
    own,
  );
}

/** The camera as the shot alone has it. */
function ownCamera(scene: Scene, { index, width, height }: SequenceOutput): CameraAt {
  const timeline = timelineOf(scene, scene.outputs[index]!);
  const clock = clockOf(scene);
  return (seconds) => resolveCamera(timeline.at(clock(seconds)), width, height);
}

/** Out of a planet at the shot's start, into one at its end. */
function passagesOf(transitions: readonly Transition[], shot: number, duration: number): Passage[] {
  const [before, after] = [transitions[shot - 1], transitions[shot]];
  const passages: Passage[] = [];
  if (before?.kind === 'planet') {
    passages.push({ ...before, way: 'opening', from: 0, until: before.duration });
  }
  if (after?.kind === 'planet') {
    passages.push({ ...after, way: 'closing', from: duration - after.duration, until: duration });
  }
  return passages;
}
