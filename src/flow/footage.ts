import { InputError, type Problem } from '../errors.js';
import { readVideoFacts } from '../master/video/facts.js';
import { isVideo } from '../master/video/kind.js';
import type { VideoFacts } from '../master/video/types.js';
import { WHOLE_FOOTAGE } from '../scene/footage.js';
import type { Scene, Sequence } from '../scene/types.js';
import { shortNumber } from '../scene/words.js';
import { frameCount, frameTime } from '../timeline/frames.js';
import { clockOf, sceneLength, sceneTime } from '../timeline/timing.js';

/** What is known of the masters that are videos, by their files. */
export type Videos = ReadonlyMap<string, VideoFacts>;

/** Less than any frame lasts, and more than what times are rounded by. */
const MOMENT = 1e-3;

/**
 * Looks at all masters of a scene.
 *
 * @throws InputError with everything wrong with the videos, or with what is asked of them
 */
export async function readVideos(scene: Sequence, ffmpeg?: string): Promise<Videos> {
  const videos = new Map<string, VideoFacts>();
  const problems: Problem[] = [];
  for (const file of new Set(scene.shots.map((shot) => shot.master))) {
    if (!(await isVideo(file))) continue;
    try {
      videos.set(file, await readVideoFacts(file, ffmpeg));
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      problems.push(...error.problems);
    }
  }
  if (problems.length === 0) {
    problems.push(...scene.shots.flatMap((shot) => footageProblems(shot, videos.get(shot.master))));
  }
  if (problems.length > 0) throw new InputError(problems);
  return videos;
}

/** Seconds into the video that a shot shows at `seconds` after its own start. */
export function videoTime(scene: Scene, seconds: number): number {
  const { from, to, speed } = scene.footage ?? WHOLE_FOOTAGE;
  const time = from + sceneTime(scene, seconds) * speed;
  return to === undefined ? time : Math.min(time, to - MOMENT);
}

function footageProblems(scene: Scene, facts: VideoFacts | undefined): Problem[] {
  const { footage = WHOLE_FOOTAGE, file, duration, fps } = scene;
  const problem = (field: string, message: string): Problem[] => [
    { place: file, path: field, message },
  ];
  if (facts === undefined) {
    if (scene.footage === undefined) return [];
    return problem('footage', 'is for video masters, and this master is a picture: leave it out');
  }
  const { from, to, speed, hold } = footage;
  const whole = `the video lasts ${seconds(facts.duration)}`;
  if (from >= facts.duration) {
    return problem(
      'footage.from',
      `takes a time within the video, found ${seconds(from)}: ${whole}`,
    );
  }
  if (to !== undefined && to <= from) {
    return problem(
      'footage.to',
      `takes a time after 'from', ${seconds(from)}, found ${seconds(to)}`,
    );
  }
  // The container's word for the end may be off by the half of a frame.
  if (to !== undefined && to > facts.duration + 0.5 / facts.fps) {
    return problem('footage.to', `takes a time within the video, found ${seconds(to)}: ${whole}`);
  }
  const there = Math.min(to ?? facts.duration, facts.duration) - from;
  const clock = clockOf(scene);
  let last = 0;
  for (let frame = 0; frame < frameCount(duration, fps); frame++) {
    last = Math.max(last, clock(frameTime(frame, fps)) * speed);
  }
  if (hold || last < there + MOMENT) return [];
  const length = sceneLength(scene);
  const slower = Math.floor((there / length) * 1000) / 1000;
  return problem(
    scene.timing === undefined ? 'duration' : 'timing',
    `${scene.timing === undefined ? 'is' : 'shows'} ${seconds(length)}, for which the video has too little: ${seconds(there)} of it${from > 0 || to !== undefined ? ' from footage.from to its end' : ''}${speed === 1 ? '' : `, which at speed ${shortNumber(speed)} is ${seconds(there / speed)}`}; take ${seconds(Math.floor((there / speed) * 100) / 100)}, or slow the footage down with 'speed: ${slower}', or keep the last frame with 'atEnd: hold'`,
  );
}

const seconds = (value: number): string => `${shortNumber(value)} s`;
