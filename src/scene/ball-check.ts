import { apparentSize } from '../camera/ball.js';
import type { BallSample } from '../camera/types.js';
import { radians } from '../math.js';
import { frameTime } from '../timeline/frames.js';
import { timelineOf } from '../timeline/sample.js';
import { lapOf } from '../timeline/timing.js';
import { pathOf } from './faults.js';
import { again, overshooting } from './framing-check.js';
import type { Report } from './resolve.js';
import type { Output, Scene } from './types.js';
import { shortNumber } from './words.js';

/**
 * Reports keyframes that place a ball where the scene has none, and where the camera would be within
 * it, at a keyframe or between two.
 */
export function checkBall(scene: Scene, report: Report): void {
  const told = new Set<string>();
  for (const output of scene.outputs) {
    for (const { path, message } of faults(output, scene)) {
      if (told.has(`${path} ${message}`)) continue;
      told.add(`${path} ${message}`);
      report(pathOf(path), message);
    }
  }
}

function* faults(output: Output, scene: Scene): Iterable<Fault> {
  const { keyframes } = output;
  if (!keyframes.some(({ ballLook }) => ballLook !== undefined)) {
    for (const { path, ball } of keyframes) {
      if (ball !== undefined) yield { path: `${path}.ball`, message: NO_BALL };
    }
    return;
  }
  const timeline = timelineOf(scene, output);
  const { fps } = scene;
  const ballAt = (seconds: number) => timeline.framing(seconds).ball!;
  const overshoots = keyframes.some(({ ease }) => overshooting(ease));
  const period = lapOf(scene);
  for (const [index, { at, path, ball }] of keyframes.entries()) {
    const here = roundCamera(ballAt(at));
    const before = index > 0 && roundCamera(ballAt(keyframes[index - 1]!.at));
    // What only goes on as it was is not told again.
    if (here && !(before && ball === undefined)) yield { path: `${path}.ball`, message: here };
    const next = keyframes[index + 1] ?? again(keyframes[0]!, period);
    if (next === undefined || here || roundCamera(ballAt(next.at))) continue;
    if (!overshoots && !roundCamera(nearest(ballAt(at), ballAt(next.at)))) continue;
    for (let n = Math.floor(at * fps) + 1; frameTime(n, fps) < next.at; n++) {
      const between = roundCamera(ballAt(frameTime(n, fps)));
      if (!between) continue;
      const where = `on the way to ${next.path}, at ${shortNumber(frameTime(n, fps))} s`;
      yield { path, message: `${where}, ${between}` };
      break;
    }
  }
}

interface Fault {
  readonly path: string;
  readonly message: string;
}

const NO_BALL =
  "places a ball, but the scene has none; write 'ball: glass' or 'ball: mirror' beside 'keyframes'";

/** At least as near as all between two keyframes. */
const nearest = (a: BallSample, b: BallSample): BallSample => ({
  ...a,
  size: Math.max(a.size, b.size),
  distance: Math.min(a.distance, b.distance),
});

/** In words, that the camera would be in the ball. */
function roundCamera({ size, distance }: BallSample): string | undefined {
  if (apparentSize(size, distance) !== undefined) return undefined;
  const radius = Math.sin(radians(size) / 2);
  return `the ball would lie round the camera: with size ${shortNumber(size)} it needs a distance of more than ${shortNumber(radius)}, found ${shortNumber(distance)}`;
}
