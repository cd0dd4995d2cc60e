import type { Layer } from '../render/frame.js';
import { exposuresOf } from '../render/motion.js';
import { SAMPLING } from '../render/quality.js';
import { finestResolution } from '../render/resolution.js';
import { type Seen, seenOf, seenTogether } from '../render/seen.js';
import type { Sequence, SequenceOutput } from '../scene/types.js';
import { frameAt, frameCount, frameTime } from '../timeline/frames.js';
import { shotsAt } from '../timeline/shots.js';
import { camerasOf } from './cameras.js';
import type { Job } from './jobs.js';
import type { Stretch } from './stretches.js';

type Timed = Pick<Sequence, 'duration' | 'fps'>;

/** The numbers of the frames from one instant up to, not including, another; in seconds. */
export function framesBetween({ duration, fps }: Timed, from: number, to: number): number[] {
  const first = frameAt(from, fps);
  const end = Math.min(frameCount(duration, fps), frameCount(to, fps));
  return Array.from({ length: end - first }, (_, index) => first + index);
}

/** A layer, and the instant of its shot's own time that it shows. */
export interface TimedLayer extends Layer {
  /** Seconds. */
  readonly at: number;
}

/**
 * What each frame of a stretch is made of: every shot seen in it, with one camera or, when its shutter
 * is open, as many as the motion asks for.
 */
export function* exposures(
  { scene, quality }: Job,
  output: SequenceOutput,
  stretch: Stretch,
): Iterable<readonly TimedLayer[]> {
  const { width, height } = output;
  const cameras = camerasOf(scene, output);
  for (const frame of stretch.frames) {
    yield shotsAt(scene, frameTime(frame, scene.fps)).map(({ shot, at, share }): TimedLayer => {
      const shutter = { fps: scene.fps, angle: scene.shots[shot]!.shutter };
      return {
        source: stretch.shots.indexOf(shot),
        share,
        at,
        cameras: exposuresOf(cameras(shot), at, shutter, SAMPLING[quality], width, height),
      };
    });
  }
}

/**
 * Texels across its master that a draft can show of each shot at all, in any frame of any delivery. The
 * whole scene counts, also for a still, so that a still shows the very pixels of its clip.
 */
export function widthsForDraft({ scene, deliveries }: Job): number[] {
  const finest = scene.shots.map(() => 0);
  for (const { output } of deliveries) {
    const cameras = camerasOf(scene, output);
    const before = scene.shots.map(() => '');
    for (const frame of framesBetween(scene, 0, scene.duration)) {
      for (const { shot, at } of shotsAt(scene, frameTime(frame, scene.fps))) {
        const camera = cameras(shot)(at);
        // A view that only turns stays as fine as it is.
        const { rotation: _, ...rest } = camera;
        const lens = JSON.stringify(rest);
        if (lens === before[shot]) continue;
        before[shot] = lens;
        const found = finestResolution(camera, output.width, output.height);
        finest[shot] = Math.max(finest[shot]!, found);
      }
    }
  }
  return finest.map((resolution) => Math.ceil(2 * Math.PI * resolution));
}

/** What some frames look up of each shot's master, for `Reading`; undefined where that may be anything. */
export function seenOfShots(job: Job, stretches: readonly Stretch[]): (Seen | undefined)[] {
  const { scene, deliveries, quality } = job;
  const seen = scene.shots.map((): (Seen | undefined)[] => []);
  for (const { output } of deliveries) {
    const { width, height } = output;
    for (const stretch of stretches) {
      for (const { source, cameras } of [...exposures(job, output, stretch)].flat()) {
        seen[stretch.shots[source]!]!.push(seenOf(cameras, width, height, quality));
      }
    }
  }
  return seen.map(seenTogether);
}
