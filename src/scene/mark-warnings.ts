import { directionOf, type Place, placeIn } from '../camera/aim.js';
import { resolveCamera } from '../camera/resolve.js';
import { frameCount, frameTime } from '../timeline/frames.js';
import { timelineOf } from '../timeline/sample.js';
import { sceneLength } from '../timeline/timing.js';
import { type Safe, safeOf } from './safe.js';
import type { Keyframe, Mark, Output, Scene, Warning } from './types.js';
import { listed, shortNumber } from './words.js';

/** Where a mark that is looked at lies outside an output's safe area, or outside its frame. */
export const markWarnings = (scene: Scene): Warning[] =>
  scene.outputs.flatMap((output) =>
    watches(output.keyframes, sceneLength(scene)).flatMap((watch) => strays(watch, output, scene)),
  );

/** A stretch of time, both ends included, in which the camera looks at a mark. */
interface Watch {
  readonly mark: Mark;
  readonly path: string;
  readonly from: number;
  readonly to: number;
}

const NEARLY = 1e-9;

/**
 * From each keyframe that looks at something to the next that aims, as long as that looks at the same:
 * towards anything else the camera turns away at once, unless the keyframe holds.
 */
export function watches(keyframes: readonly Keyframe[], duration: number): Watch[] {
  const aiming = keyframes.filter(({ look, yaw, pitch, heading }) =>
    [look, yaw, pitch, heading].some((value) => value !== undefined),
  );
  const all: Watch[] = [];
  for (const [index, { look: mark, at: from, path, ease }] of aiming.entries()) {
    if (mark === undefined) continue;
    const before = all.at(-1);
    const next = aiming[index + 1];
    // A held look ends just before the cut.
    const away = ease.kind === 'hold' ? (next?.at ?? 0) - NEARLY : from;
    const to = next === undefined ? duration : isSame(mark, next.look) ? next.at : away;
    // One look after another at the same mark is one watch, so that nothing is told twice.
    if (before?.to === from && isSame(before.mark, mark)) all[all.length - 1] = { ...before, to };
    else all.push({ mark, path: `${path}.look`, from, to });
  }
  return all;
}

const isSame = (mark: Mark, other: Mark | undefined): boolean =>
  other !== undefined && mark.yaw === other.yaw && mark.pitch === other.pitch;

/** The sides at which a mark is out, and of what. */
interface Stray {
  readonly at: number;
  readonly of: 'safe area' | 'frame';
  readonly sides: readonly string[];
}

function strays(watch: Watch, output: Output, scene: Scene): Warning[] {
  const { width, height } = output;
  const timeline = timelineOf(scene, output);
  const direction = directionOf(watch.mark.yaw, watch.mark.pitch);
  const strayAt = (at: number): Stray | undefined => {
    const place = placeIn(resolveCamera(timeline.at(at), width, height), direction);
    return strayOf(place, at, safeOf(output));
  };
  const runs: Stray[][] = [];
  let open = false;
  for (const at of instants(watch, sceneLength(scene), scene.fps)) {
    const stray = strayAt(at);
    if (stray && open) runs.at(-1)!.push(stray);
    else if (stray) runs.push([stray]);
    open = stray !== undefined;
  }
  return runs.map((run) => warningOf(run, watch, output));
}

/** The frames of a watch and the instants of its ends. */
function instants({ from, to }: Watch, duration: number, fps: number): number[] {
  const frames: number[] = [];
  const count = frameCount(duration, fps);
  for (let n = Math.ceil(from * fps); n < count && frameTime(n, fps) <= to; n++) {
    frames.push(frameTime(n, fps));
  }
  return frames.length > 0 && frames[0]! - from < NEARLY ? frames : [from, ...frames];
}

/** Less than a pixel's hundredth is rounding. */
const ROUNDING = 1e-6;

function strayOf(place: Place | undefined, at: number, safe: Safe): Stray | undefined {
  if (place === undefined) return { at, of: 'frame', sides: [] };
  const beyond = ({ left, right, top, bottom }: Safe): string[] => [
    ...(place[0] < left - ROUNDING ? ['left'] : []),
    ...(place[0] > 1 - right + ROUNDING ? ['right'] : []),
    ...(place[1] < top - ROUNDING ? ['top'] : []),
    ...(place[1] > 1 - bottom + ROUNDING ? ['bottom'] : []),
  ];
  const out = beyond({ top: 0, bottom: 0, left: 0, right: 0 });
  if (out.length > 0) return { at, of: 'frame', sides: out };
  const sides = beyond(safe);
  return sides.length > 0 ? { at, of: 'safe area', sides } : undefined;
}

function warningOf(run: readonly Stray[], { mark, path }: Watch, { shape }: Output): Warning {
  const [from, to] = [run[0]!.at, run.at(-1)!.at];
  const leaves = run.some(({ of }) => of === 'frame');
  const worst = leaves ? run.filter(({ of }) => of === 'frame') : run;
  const sides = [...new Set(worst.flatMap((stray) => stray.sides))];
  const where = sides.length > 0 ? ` at the ${listed(sides, 'and')}` : '';
  const second = (time: number) => shortNumber(time, 2);
  const when = to > from ? `from ${second(from)} to ${second(to)} s` : `at ${second(from)} s`;
  const area = leaves ? 'frame' : 'safe area';
  const message = `${mark.name} lies outside the ${area} of ${shape}${where}, ${when}`;
  return { path, message, from, to };
}
