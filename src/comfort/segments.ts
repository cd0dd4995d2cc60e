import { withoutCuts } from '../timeline/cuts.js';
import { frameAt, frameCount } from '../timeline/frames.js';
import { type Motion, type Moving, motions } from './motion.js';

export interface Peak {
  /** Never negative: degrees per second, or doublings or halvings per second. */
  readonly speed: number;
  /** Seconds. */
  readonly at: number;
}

/** The stretch from one keyframe to the next. */
export interface Segment {
  /** Of the keyframe that it begins with. */
  readonly path: string;
  /** Seconds. */
  readonly from: number;
  readonly to: number;
  readonly turning: Peak;
  readonly zooming: Peak;
}

export interface Place {
  readonly path: string;
  /** Seconds. */
  readonly at: number;
}

/** How fast the view turns and zooms at most from each keyframe to the next; keyframes ascending. */
export function segments(
  moving: Moving,
  keyframes: readonly Place[],
  duration: number,
): readonly Segment[] {
  const { fps } = moving;
  const last = frameCount(duration, fps) - 1;
  return keyframes.flatMap(({ path, at: from }, index) => {
    const to = keyframes[index + 1]?.at ?? duration;
    const list = motions(
      moving,
      Math.min(last, frameAt(from, fps)),
      Math.min(last, frameAt(to, fps)),
    );
    if (list.length === 0) return [];
    const peak = (speedOf: (motion: Motion) => number): Peak => {
      const speeds = withoutCuts(list.map(speedOf));
      const index = speeds.reduce((best, speed, n) => (speed > speeds[best]! + 1e-9 ? n : best), 0);
      return { speed: speeds[index]!, at: list[index]!.at };
    };
    const turning = peak((motion) => motion.turning);
    const zooming = peak((motion) => Math.abs(motion.zooming));
    return [{ path, from, to, turning, zooming }];
  });
}
