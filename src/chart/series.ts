import { shownFov } from '../camera/shown.js';
import { motionBetween } from '../comfort/motion.js';
import { camerasOf } from '../flow/cameras.js';
import type { Sequence, SequenceOutput } from '../scene/types.js';
import { frameTime } from '../timeline/frames.js';
import { type Framing, timelineOf } from '../timeline/sample.js';
import { shotsAt } from '../timeline/shots.js';
import { clockOf } from '../timeline/timing.js';
import type { ChartSample } from './types.js';

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
  return frames.map((frame) => {
    const time = frameTime(frame, fps);
    const { shot, at } = shotsAt(scene, time).reduce((a, b) => (b.share > a.share ? b : a));
    const camera = cameras(shot)(at);
    const shown = clocks[shot]!(at);
    const { turning, zooming } = motionBetween(camera, cameras(shot)(at + 1 / fps), {
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
