import { aimAt, directionOf, type NoAim, nearest } from '../camera/aim.js';
import { resolveCamera } from '../camera/resolve.js';
import { buildTimeline } from '../timeline/sample.js';
import { lapOf } from '../timeline/timing.js';
import { pathOf } from './faults.js';
import { placeOfLook } from './marks.js';
import { placeText } from './place.js';
import type { Report } from './resolve.js';
import type { Keyframe, Output, Scene } from './types.js';
import { listed, shortNumber } from './words.js';

/**
 * The scene with every `look` and `heading` of its outputs turned into yaw and pitch for that output's
 * frame. What cannot be is reported. Fields of view must have been checked.
 */
export function aimScene(scene: Scene, report: Report): Scene {
  const found = new Map<string, { path: string; message: string; shapes: string[] }>();
  const period = lapOf(scene);
  const outputs = scene.outputs.map((output): Output => {
    const keyframes = aimed(output.keyframes, { ...output, period }, (path, message) => {
      const same = found.get(`${path} ${message}`);
      if (same) same.shapes.push(output.shape);
      else found.set(`${path} ${message}`, { path, message, shapes: [output.shape] });
    });
    return { ...output, keyframes };
  });
  for (const { path, message, shapes } of found.values()) {
    const only = shapes.length < scene.outputs.length ? ` (${listed(shapes, 'and')})` : '';
    report(pathOf(path), message + only);
  }
  return { ...scene, outputs };
}

type Frame = Pick<Output, 'width' | 'height'> & {
  /** Seconds of a lap in a loop. */
  readonly period?: number | undefined;
};

/** Yaws of looks and headings are the ones nearest to the yaw of the keyframe before that has one. */
export function aimed(
  keyframes: readonly Keyframe[],
  { width, height, period }: Frame,
  onProblem: (path: string, message: string) => void,
): Keyframe[] {
  if (!keyframes.some(({ look, heading }) => look !== undefined || heading !== undefined)) {
    return [...keyframes];
  }
  // Stand-ins, so that each sets an angle where the turns between are worked out, at its own time.
  const timeline = buildTimeline(
    keyframes.map((keyframe) => ({
      ...keyframe,
      even: false,
      ...(keyframe.look === undefined ? {} : { yaw: 0, pitch: 0 }),
    })),
    { frame: { width, height }, period },
  );
  let near = 0;
  return keyframes.map((keyframe): Keyframe => {
    const { look, heading, at } = keyframe;
    if (look === undefined) {
      const yaw = heading === undefined ? keyframe.yaw : nearest(heading, 360, near);
      near = yaw ?? near;
      return yaw === undefined ? keyframe : { ...keyframe, yaw };
    }
    const camera = resolveCamera(timeline.at(at), width, height);
    const { roll } = timeline.angles(at);
    const place = placeOfLook(keyframe);
    const aim = aimAt(directionOf(look.yaw, look.pitch), place, camera, { roll, near });
    if (typeof aim === 'string') {
      onProblem(pathOfPlace(keyframe), WHY[aim](placeText(place), keyframe, roll));
      return { ...keyframe, yaw: near, pitch: 0 };
    }
    near = aim.yaw;
    return { ...keyframe, ...aim };
  });
}

const pathOfPlace = ({ path, place }: Keyframe): string =>
  `${path}.${place === undefined ? 'look' : 'place'}`;

const WHY: Readonly<Record<NoAim, (place: string, keyframe: Keyframe, roll: number) => string>> = {
  'no-picture': (place) =>
    `the projection shows nothing at ${place} with this field of view; move the place towards the centre`,
  'out-of-reach': (place, { look }, roll) =>
    `no way of looking puts ${look!.name} at ${place} with a roll of ${shortNumber(roll, 1)}; move the place towards the middle of the frame, or roll`,
};
