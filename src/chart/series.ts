import type { Camera, ViewSample } from '../camera/types.js';
import { motionBetween } from '../comfort/motion.js';
import { camerasOf } from '../flow/cameras.js';
import { degrees } from '../math.js';
import type { Ray } from '../projection/types.js';
import { directionAt, distance } from '../render/resolution.js';
import type { Sequence, SequenceOutput } from '../scene/types.js';
import { frameTime } from '../timeline/frames.js';
import { buildTimeline } from '../timeline/sample.js';
import { shotsAt } from '../timeline/shots.js';
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
  const timelines = scene.shots.map(({ outputs }) =>
    buildTimeline(outputs[output.index]!.keyframes),
  );
  return frames.map((frame) => {
    const time = frameTime(frame, fps);
    const { shot, at } = shotsAt(scene, time).reduce((a, b) => (b.share > a.share ? b : a));
    const camera = cameras(shot)(at);
    const { turning, zooming } = motionBetween(camera, cameras(shot)(at + 1 / fps), {
      fps,
      width,
      height,
    });
    return {
      at: time,
      ...timelines[shot]!.angles(at),
      fov: shorterFov(camera, width <= height),
      turning,
      zooming: Math.abs(zooming),
      projection: projectionText(timelines[shot]!.at(at)),
    };
  });
}

/** Twice the angle from the frame's middle to the middle of its side edge (or top edge), in degrees. */
function shorterFov(camera: Camera, across: boolean): number {
  const towards = (share: number) => directionAt(camera, across ? share : 0, across ? 0 : share);
  // In two steps, since beyond 180 degrees the shorter way round would count.
  const half = angle(towards(0), towards(0.5)) + angle(towards(0.5), towards(1));
  return degrees(2 * half);
}

const angle = (a: Ray, b: Ray): number => 2 * Math.asin(Math.min(1, distance(a, b) / 2));

function projectionText({ projection: { from, to, mix } }: ViewSample): string {
  if (from.name === to.name || mix === 0) return from.name;
  return mix === 1 ? to.name : `${from.name} to ${to.name}`;
}
