import { lapOf, sceneLength, sceneTime } from '../timeline/timing.js';
import { pathOf } from './faults.js';
import type { Report } from './resolve.js';
import type { Keyframe, Scene } from './types.js';
import { shortNumber } from './words.js';

const SAME_TIME = 1e-6;

/** Tells what keeps a scene with `loop` from closing. */
export function reportOpenLoop(scene: Scene, report: Report): void {
  if (scene.timing !== undefined) {
    const [start, end] = [0, scene.duration].map((at) => sceneTime({ ...scene, loop: false }, at));
    const laps = (end! - start!) / sceneLength(scene);
    if (Math.abs(laps - Math.round(laps)) * sceneLength(scene) > SAME_TIME) {
      const times = `it begins at ${shortNumber(start!)} s and ends at ${shortNumber(end!)} s`;
      report(
        ['timing'],
        `with loop, takes an end that shows the scene's time at the start, or one whole run of it later or earlier; ${times}, of the scene's ${shortNumber(sceneLength(scene))} s`,
      );
      return;
    }
  }
  const period = lapOf(scene);
  if (period === undefined) return;
  for (const { keyframes } of scene.outputs) {
    for (const channel of ['yaw', 'pitch', 'roll', 'fov', 'projection'] as const) {
      reportOpenChannel(keyframes, channel, period, report);
    }
  }
}

/** A keyframe at the very end is the one at the start again. */
function reportOpenChannel(
  keyframes: readonly Keyframe[],
  channel: 'yaw' | 'pitch' | 'roll' | 'fov' | 'projection',
  period: number,
  report: Report,
): void {
  const own = keyframes.filter((keyframe) => keyframe[channel] !== undefined);
  const [first, last] = [own[0], own.at(-1)];
  if (first === undefined || last === undefined || last.at - first.at < period - SAME_TIME) return;
  const [start, end] = [first[channel]!, last[channel]!];
  if (typeof start === 'object' || typeof end === 'object') {
    if (JSON.stringify(start) === JSON.stringify(end)) return;
    const [from, to] = [first.projection!.name, last.projection!.name];
    const found = from === to ? 'other parameters' : to;
    tell(
      `takes ${from} as there${from === to ? ', with the same parameters' : ''}, found ${found}`,
    );
    return;
  }
  const turns = channel === 'fov' ? (start === end ? 0 : 0.5) : (end - start) / 360;
  if (Math.abs(turns - Math.round(turns)) < 1e-9) return;
  const also = channel === 'fov' ? '' : ' or whole turns more or less';
  tell(`takes ${shortNumber(start)} as there${also}, found ${shortNumber(end)}`);

  function tell(what: string): void {
    const same = `with loop, the end is ${first!.path} again: ${what}`;
    report([...pathOf(last!.path), channel], same);
  }
}
