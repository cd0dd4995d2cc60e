import { resolveCamera } from '../camera/resolve.js';
import type { Camera } from '../camera/types.js';
import { exposuresOf } from '../render/motion.js';
import { SAMPLING } from '../render/quality.js';
import { finestResolution } from '../render/resolution.js';
import type { Output, Scene } from '../scene/types.js';
import { frameAt, frameCount, frameTime } from '../timeline/frames.js';
import { buildTimeline } from '../timeline/sample.js';
import type { Job } from './jobs.js';

/** The numbers of the frames from one instant up to, not including, another; in seconds. */
export function framesBetween({ duration, fps }: Scene, from: number, to: number): number[] {
  const first = frameAt(from, fps);
  const end = Math.min(frameCount(duration, fps), frameCount(to, fps));
  return Array.from({ length: end - first }, (_, index) => first + index);
}

/** The cameras of each frame: one, or with an open shutter as many as the motion asks for. */
export function* exposures(
  { scene, quality }: Job,
  output: Output,
  frames: readonly number[],
): Iterable<readonly Camera[]> {
  const { width, height } = output;
  const cameraAt = cameraOf(output);
  const shutter = { fps: scene.fps, angle: scene.shutter };
  for (const frame of frames) {
    const time = frameTime(frame, scene.fps);
    yield exposuresOf(cameraAt, time, shutter, SAMPLING[quality], width, height);
  }
}

/**
 * Texels across the master that a draft can show at all, in any frame of any delivery. The whole scene
 * counts, also for a still, so that a still shows the very pixels of its clip.
 */
export function widthForDraft({ scene, deliveries }: Job): number {
  const frames = framesBetween(scene, 0, scene.duration);
  let finest = 0;
  for (const { output } of deliveries) {
    const cameraAt = cameraOf(output);
    for (const frame of frames) {
      const camera = cameraAt(frameTime(frame, scene.fps));
      finest = Math.max(finest, finestResolution(camera, output.width, output.height));
    }
  }
  return Math.ceil(2 * Math.PI * finest);
}

function cameraOf({ keyframes, width, height }: Output): (seconds: number) => Camera {
  const timeline = buildTimeline(keyframes);
  return (seconds) => resolveCamera(timeline.at(seconds), width, height);
}
