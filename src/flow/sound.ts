import type { SoundPiece, SoundPlan } from '../encode/sound.js';
import { WHOLE_FOOTAGE } from '../scene/footage.js';
import type { Scene, Sequence } from '../scene/types.js';
import { frameTime } from '../timeline/frames.js';
import { overlapOf, shotTimes } from '../timeline/shots.js';
import type { Videos } from './footage.js';
import type { ClipJob } from './jobs.js';

/**
 * The sound of a scene's own videos from one instant to another, in seconds of the clip: each cut and sped
 * as its pictures are, faded where shots go over into each other.
 */
export function ownSound(
  { shots, transitions }: Sequence,
  videos: Videos,
  from: number,
  to: number,
): SoundPlan | undefined {
  const times = shotTimes(shots, transitions);
  const overlap = (index: number) => {
    const transition = transitions[index];
    return transition === undefined ? 0 : overlapOf(transition);
  };
  const pieces = shots.flatMap((shot, index): SoundPiece[] => {
    const { start } = times[index]!;
    const heard = heardFor(shot, videos);
    // What was heard before `from`, and would be after `to`, is cut off.
    const skipped = Math.max(0, from - start);
    const duration = Math.min(start + heard, to) - Math.max(start, from);
    if (duration <= 0) return [];
    const { file, start: first, clockStart } = videos.get(shot.master)!;
    const { from: begin, speed } = shot.footage ?? WHOLE_FOOTAGE;
    const isWhole = start + heard >= times[index]!.end - 1e-6 && times[index]!.end <= to;
    return [
      {
        ...{ file, speed, duration },
        start: Math.max(0, first - clockStart + begin + skipped * speed),
        at: Math.max(0, start - from),
        fadeIn: skipped === 0 ? overlap(index - 1) : 0,
        fadeOut: isWhole ? Math.min(duration, overlap(index)) : 0,
      },
    ];
  });
  return pieces.length === 0 ? undefined : { pieces, duration: to - from };
}

/** What sounds with a job's clips, whose frames have those numbers. */
export function soundOf(
  { scene, onNote }: ClipJob,
  videos: Videos,
  frames: readonly number[],
): SoundPlan | undefined {
  noteRemapped(scene, videos, onNote);
  const [first = 0, last = -1] = [frames[0], frames.at(-1)];
  return ownSound(scene, videos, frameTime(first, scene.fps), frameTime(last + 1, scene.fps));
}

function noteRemapped({ shots }: Sequence, videos: Videos, onNote: ClipJob['onNote']): void {
  const isSilenced = ({ timing, sound, master }: Scene) =>
    timing !== undefined && sound !== 'none' && videos.get(master)?.sound !== undefined;
  if (!shots.some(isSilenced)) return;
  onNote?.("The video's sound is left out where timing changes how its time runs.");
}

/** Seconds from a shot's start for which its video sounds. */
function heardFor(shot: Scene, videos: Videos): number {
  const facts = videos.get(shot.master);
  if (shot.sound === 'none' || shot.timing !== undefined || facts?.sound === undefined) return 0;
  const { from, to, speed } = shot.footage ?? WHOLE_FOOTAGE;
  const end = Math.min(to ?? facts.duration, facts.duration);
  return Math.min(shot.duration, (end - from) / speed);
}
