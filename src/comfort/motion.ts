import { angleOfRotations } from '../camera/orientation.js';
import type { Camera } from '../camera/types.js';
import { degrees } from '../math.js';
import { resolutionAt } from '../render/resolution.js';
import { frameTime } from '../timeline/frames.js';

/** How fast the view moves. */
export interface Speed {
  /** Of the whole view about one axis, whichever it is: degrees per second. */
  readonly turning: number;
  /** Doublings of the picture's size in the frame's middle per second; halvings are negative. */
  readonly zooming: number;
}

/** From one frame to the next. */
export interface Motion extends Speed {
  /** The instant of the earlier frame, in seconds. */
  readonly at: number;
}

export interface Framed {
  readonly fps: number;
  /** Pixels; only their ratio counts. */
  readonly width: number;
  readonly height: number;
}

export interface Moving extends Framed {
  readonly cameraAt: (seconds: number) => Camera;
}

/** The motion from each of the frames `first` to `end` - 1 to its next. */
export function motions(moving: Moving, first: number, end: number): Motion[] {
  const { cameraAt, fps } = moving;
  const list: Motion[] = [];
  let before = cameraAt(frameTime(first, fps));
  for (let n = first; n < end; n++) {
    const now = cameraAt(frameTime(n + 1, fps));
    list.push({ at: frameTime(n, fps), ...motionBetween(before, now, moving) });
    before = now;
  }
  return list;
}

/** The motion between two cameras a frame apart. */
export function motionBetween(before: Camera, now: Camera, { fps, width, height }: Framed): Speed {
  return {
    turning: degrees(angleOfRotations(before.rotation, now.rotation)) * fps,
    zooming: Math.log2(sizeOf(now, width, height) / sizeOf(before, width, height)) * fps,
  };
}

/** Pixels a radian in the frame's middle: how large the picture is there. */
function sizeOf(camera: Camera, width: number, height: number): number {
  const { finer, coarser } = resolutionAt(camera, width, height, 0, 0);
  return Math.sqrt(finer * coarser);
}
