import type { Scene } from '../scene/types.js';
import { frameCount } from './frames.js';
import { secantsOf, sharesOf } from './smooth.js';
import { numberAt, type Track } from './tracks.js';

/** What of a scene says how its time runs. */
export type Timed = Pick<Scene, 'duration' | 'fps' | 'timing' | 'loop'>;

/** Of the scene's own time, in seconds: keyframes, and a moving master, lie within it. */
export const sceneLength = ({ timing, duration }: Timed): number => timing?.length ?? duration;

/** The instant of the scene, in seconds, that its clip shows at an instant of the clip, in seconds. */
export const sceneTime = (scene: Timed, clipSeconds: number): number => clockOf(scene)(clipSeconds);

/**
 * `sceneTime` for many instants of one scene. Before its first and after its last entry, timing holds; in
 * a loop the clip's time goes round, and what it shows counts on from lap to lap. A looped clip whose
 * duration is no whole number of frames runs faster or slower by part of a frame in all, so that the
 * frame after its last is the first.
 */
export function clockOf(scene: Timed): (clipSeconds: number) => number {
  const { duration, fps, loop = false } = scene;
  const shown = shownBy(scene);
  if (!loop) return shown;
  const stretch = (duration * fps) / Math.max(1, frameCount(duration, fps));
  const gained = shown(duration) - shown(0);
  return (clipSeconds) => {
    const seconds = clipSeconds * stretch;
    const lap = Math.floor(seconds / duration);
    return shown(seconds - lap * duration) + lap * gained;
  };
}

function shownBy({ timing }: Timed): (clipSeconds: number) => number {
  if (timing === undefined) return (clipSeconds) => clipSeconds;
  const stops = timing.stops.map(({ shows, ...stop }) => ({ ...stop, value: shows }));
  const change = (from: number, to: number) => stops[to]!.value - stops[from]!.value;
  const track: Track<number> = { stops, shares: sharesOf(stops, secantsOf(stops, change), true) };
  return (clipSeconds) => numberAt(track, clipSeconds);
}

/**
 * Seconds of the scene's own time after which its last keyframe leads on to the first: undefined without
 * a loop, and in one whose timing ends where it begins, as that closes it already.
 */
export function lapOf(scene: Timed): number | undefined {
  if (!scene.loop) return undefined;
  const shown = shownBy(scene);
  const closed = Math.abs(shown(scene.duration) - shown(0)) < 1e-6;
  return scene.timing !== undefined && closed ? undefined : sceneLength(scene);
}
