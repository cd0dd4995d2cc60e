import { shownFov } from '../camera/shown.js';
import type { Camera } from '../camera/types.js';
import { motionBetween } from '../comfort/motion.js';
import { camerasOf } from '../flow/cameras.js';
import type { Sequence, SequenceOutput } from '../scene/types.js';
import { frameTime } from '../timeline/frames.js';
import { type Framing, timelineOf } from '../timeline/sample.js';
import { shotsAt } from '../timeline/shots.js';
import { clockOf } from '../timeline/timing.js';
import type { ChartSample } from './types.js';

/** Seconds. */
const SAME_INSTANT = 1e-9;

/** A sample for each of the frames named, of an output of a sequence; where two shots are seen, of the brighter. */
export function seriesOf(
  scene: Sequence,
  output: SequenceOutput,
  frames: readonly number[],
): ChartSample[] {
  const { fps } = scene;
  const { width, height } = output;
  const cameras = camerasOf(scene, output);
  const timelines = scene.shots.map((shot) => timelineOf(shot, shot.outputs[output.index]!));
  const clocks = scene.shots.map(clockOf);
  /** What was the next frame's camera may be this one's. */
  let next: { readonly shot: number; readonly at: number; readonly camera: Camera } | undefined;
  const cameraOf = (shot: number, at: number): Camera =>
    next?.shot === shot && Math.abs(next.at - at) < SAME_INSTANT ? next.camera : cameras(shot)(at);
  return frames.map((frame) => {
    const time = frameTime(frame, fps);
    const { shot, at } = shotsAt(scene, time).reduce((a, b) => (b.share > a.share ? b : a));
    const camera = cameraOf(shot, at);
    const shown = clocks[shot]!(at);
    next = { shot, at: at + 1 / fps, camera: cameras(shot)(at + 1 / fps) };
    const { turning, zooming } = motionBetween(camera, next.camera, {
      fps,
      width,
      height,
    });
    return {
      at: time,
      ...timelines[shot]!.angles(shown),
      fov: shownFov(camera, 'shorter', width, height),
      turning,
      zooming: Math.abs(zooming),
      projection: projectionText(timelines[shot]!.framing(shown)),
    };
  });
}

function projectionText({ projection: { from, to, mix } }: Framing): string {
  if (from.name === to.name || mix === 0) return from.name;
  return mix === 1 ? to.name : `${from.name} to ${to.name}`;
}
