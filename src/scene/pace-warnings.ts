import { directionOf, placeIn } from '../camera/aim.js';
import { resolveCamera } from '../camera/resolve.js';
import { frameCount, frameTime } from '../timeline/frames.js';
import { timelineOf } from '../timeline/sample.js';
import { sceneLength } from '../timeline/timing.js';
import { placeOfLook } from './marks.js';
import type { Output, Scene, Warning } from './types.js';
import { shortNumber } from './words.js';

/** Shares of the frame by which a mark may miss its place. */
const OFF = 0.02;

/** Where an even pace brings the camera to what a keyframe looks at at another time than the keyframe's. */
export const paceWarnings = (scene: Scene): Warning[] =>
  scene.outputs.flatMap((output) =>
    output.keyframes.some(({ even }) => even) ? missed(scene, output) : [],
  );

function missed(scene: Scene, output: Output): Warning[] {
  const { width, height, shape, keyframes } = output;
  const { fps } = scene;
  const timeline = timelineOf(scene, output);
  return keyframes.flatMap((keyframe): Warning[] => {
    const { look, at, path } = keyframe;
    if (look === undefined) return [];
    const direction = directionOf(look.yaw, look.pitch);
    const [x, y] = placeOfLook(keyframe);
    const offAt = (seconds: number): number => {
      const place = placeIn(resolveCamera(timeline.at(seconds), width, height), direction);
      return place === undefined
        ? Number.POSITIVE_INFINITY
        : Math.hypot(place[0] - x, place[1] - y);
    };
    if (offAt(at) <= OFF) return [];
    const times = Array.from({ length: frameCount(sceneLength(scene), fps) }, (_, n) =>
      frameTime(n, fps),
    );
    const offs = times.map(offAt);
    const nearest = offs.indexOf(Math.min(...offs));
    const when = offs[nearest]! <= OFF ? `at about ${shortNumber(times[nearest]!, 1)} s, ` : '';
    const message = `with pace: even, ${look.name} comes to its place in ${shape} ${when}not at ${shortNumber(at, 2)} s; where the time counts, give the keyframe before it 'pace: keyed'`;
    return [{ path: `${path}.look`, message, from: at, to: at }];
  });
}
