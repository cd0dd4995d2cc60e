import { camerasOf } from '../flow/cameras.js';
import { isSphere } from '../scene/shapes.js';
import type { Sequence, SequenceOutput } from '../scene/types.js';
import { listed, shortNumber } from '../scene/words.js';
import { clipPlaces } from '../timeline/places.js';
import { shotTimes } from '../timeline/shots.js';
import { COMFORT } from './limits.js';
import { type Peak, type Segment, segments } from './segments.js';

/** A stretch of a shot in which the view moves faster than our limits. */
export interface ComfortWarning {
  /** Which shot of the sequence. */
  readonly shot: number;
  /** Of the keyframe that the stretch begins with: `keyframes[2]`. */
  readonly path: string;
  readonly message: string;
  /** Seconds from the shot's start. */
  readonly from: number;
  readonly to: number;
}

/** All stretches that turn or zoom faster than `COMFORT` says, of the outputs named; what several share is told once. */
export function comfortWarnings(
  scene: Sequence,
  outputs: readonly SequenceOutput[] = scene.outputs,
): ComfortWarning[] {
  const found = new Map<string, { warning: ComfortWarning; shapes: string[] }>();
  for (const output of outputs) {
    for (const [shot, list] of segmentsOf(scene, output).entries()) {
      for (const segment of list) {
        for (const message of complaints(segment)) {
          const { path, from, to } = segment;
          const key = JSON.stringify([shot, path, message]);
          const same = found.get(key);
          if (same) same.shapes.push(output.shape);
          else
            found.set(key, { warning: { shot, path, message, from, to }, shapes: [output.shape] });
        }
      }
    }
  }
  return [...found.values()].map(({ warning, shapes }) => {
    const only = shapes.length < outputs.length ? ` (${listed(shapes, 'and')})` : '';
    return { ...warning, message: warning.message + only };
  });
}

/** The segments of each shot, in that output's frame; a way through the planets is one of its own. */
function segmentsOf(scene: Sequence, output: SequenceOutput): readonly (readonly Segment[])[] {
  const cameras = camerasOf(scene, output);
  const passage = (index: number) => {
    const transition = scene.transitions[index];
    return transition?.kind === 'planet' && !isSphere(output.shape) ? transition.duration : 0;
  };
  return scene.shots.map((shot, index) => {
    const { fps, duration, outputs } = shot;
    const moving = { cameraAt: cameras(index), fps, width: output.width, height: output.height };
    const keyframes = clipPlaces(shot, outputs[output.index]!.keyframes);
    const begin = passage(index - 1);
    // How it closes is told with the shot that it leads to.
    const end = duration - passage(index);
    const own = { path: `shots[${index}].transition`, at: 0 };
    const before = keyframes.findLast(({ at }) => at <= begin) ?? keyframes[0]!;
    const after = keyframes.filter(({ at }) => at > begin && at < end);
    const places = begin === 0 ? keyframes : [own, { ...before, at: begin }, ...after];
    return segments(
      moving,
      places.filter(({ at }) => at < end),
      end,
    );
  });
}

function complaints({ from, to, turning, zooming }: Segment): string[] {
  return [
    ...tooFast({ ...turning, from, to }, COMFORT.turning, 'turns', 'degrees a second'),
    ...tooFast({ ...zooming, from, to }, COMFORT.zooming, 'zooms', 'doublings a second'),
  ];
}

function tooFast(
  { speed, at, from, to }: Peak & Pick<Segment, 'from' | 'to'>,
  limit: number,
  verb: string,
  unit: string,
): string[] {
  // A little more is no difference that anybody feels.
  if (speed <= limit * 1.02) return [];
  const needed = ((to - from) * speed) / limit;
  const instead = `${shortNumber(needed, 1)} s instead of ${shortNumber(to - from, 2)} s`;
  return [
    `${verb} at up to ${shortNumber(speed, speed < 10 ? 2 : 0)} ${unit} (at ${shortNumber(at, 2)} s), above our limit of ${limit}: give it ${instead}, or a gentler ease`,
  ];
}

/** When a warning's stretch begins and ends in the whole clip, in seconds. */
export function inClip(scene: Sequence, { shot, from, to }: ComfortWarning) {
  const { start } = shotTimes(scene.shots, scene.transitions)[shot]!;
  return { from: start + from, to: start + to };
}
