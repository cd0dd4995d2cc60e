import { angleBetween } from '../camera/orientation.js';
import { degrees } from '../math.js';
import { withoutCuts } from './cuts.js';
import { frameCount, frameTime } from './frames.js';
import type { Timeline } from './sample.js';

export interface TurningSpeed {
  readonly degreesPerSecond: number;
  /** The instant of the earlier of the two frames, in seconds. */
  readonly at: number;
}

/** The fastest turn of a clip from one frame to the next, cuts left aside; 0 when nothing turns. */
export function fastestTurn(
  timeline: Pick<Timeline, 'at'>,
  duration: number,
  fps: number,
): TurningSpeed {
  const turns: number[] = [];
  let before = timeline.at(0).orientation;
  for (let n = 1; n < frameCount(duration, fps); n++) {
    const now = timeline.at(frameTime(n, fps)).orientation;
    turns.push(degrees(angleBetween(before, now)) * fps);
    before = now;
  }
  let fastest: TurningSpeed = { degreesPerSecond: 0, at: 0 };
  for (const [n, degreesPerSecond] of withoutCuts(turns).entries()) {
    if (degreesPerSecond > fastest.degreesPerSecond + 1e-9) {
      fastest = { degreesPerSecond, at: frameTime(n, fps) };
    }
  }
  return fastest;
}
