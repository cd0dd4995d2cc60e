import { resolveCamera } from '../camera/resolve.js';
import type { Camera } from '../camera/types.js';
import type { Sequence, SequenceOutput } from '../scene/types.js';
import { buildTimeline } from '../timeline/sample.js';

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
  const { keyframes } = shots[shot]!.outputs[index]!;
  const timeline = buildTimeline(keyframes);
  return (seconds) => resolveCamera(timeline.at(seconds), width, height);
}
