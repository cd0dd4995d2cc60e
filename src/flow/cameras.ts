import { resolveCamera } from '../camera/resolve.js';
import type { Camera } from '../camera/types.js';
import type { Sequence, SequenceOutput } from '../scene/types.js';
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

function cameraOf(
  { shots }: Sequence,
  shot: number,
  { index, width, height }: SequenceOutput,
): CameraAt {
  const scene = shots[shot]!;
  const timeline = timelineOf(scene, scene.outputs[index]!);
  const clock = clockOf(scene);
  return (seconds) => resolveCamera(timeline.at(clock(seconds)), width, height);
}
