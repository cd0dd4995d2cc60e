import { probeFile, Unreadable } from '../encode/ffprobe.js';
import { measureLoudness } from '../encode/loudness.js';
import type { SoundPiece, SoundPlan } from '../encode/sound.js';
import { InputError } from '../errors.js';
import { WHOLE_FOOTAGE } from '../scene/footage.js';
import type { Scene, Sequence } from '../scene/types.js';
import { shortNumber } from '../scene/words.js';
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

/**
 * What sounds with a job's clips, whose frames have those numbers. A loudness asked for is measured over the
 * whole clip, also when only a part of it is rendered, so that parts are as loud as the whole.
 *
 * @throws InputError when the sound file will not do
 */
export async function soundOf(
  { scene, onNote, ffmpeg }: ClipJob,
  videos: Videos,
  frames: readonly number[],
): Promise<SoundPlan | undefined> {
  noteRemapped(scene, videos, onNote);
  const length = await trackLength(scene, ffmpeg.path);
  const [first = 0, last = -1] = [frames[0], frames.at(-1)];
  const plan = planOf(
    scene,
    videos,
    length,
    frameTime(first, scene.fps),
    frameTime(last + 1, scene.fps),
  );
  const { loudness } = scene.sound;
  if (plan === undefined || loudness === undefined) return plan;
  const whole = planOf(scene, videos, length, 0, scene.duration)!;
  const measured = await measureLoudness({ ...whole, loudness }, ffmpeg);
  if (measured === undefined) onNote?.('The sound is silent, and stays so: it has no loudness.');
  return { ...plan, loudness: { ...loudness, ...(measured && { measured }) } };
}

/** The videos' own sound and the scene's file together. */
function planOf(
  scene: Sequence,
  videos: Videos,
  length: number | undefined,
  from: number,
  to: number,
): SoundPlan | undefined {
  const own = scene.sound.own ? (ownSound(scene, videos, from, to)?.pieces ?? []) : [];
  const track = length === undefined ? [] : trackPiece(scene, length, from, to);
  const pieces = [...own, ...track];
  return pieces.length === 0 ? undefined : { pieces, duration: to - from };
}

/** The part of the scene's sound file that is heard between two instants of the clip. */
function trackPiece(
  { sound, duration: clip }: Sequence,
  length: number,
  from: number,
  to: number,
): SoundPiece[] {
  const { file, start, at, gain, fadeIn, fadeOut } = sound.track!;
  const end = Math.min(clip, at + length - start);
  const duration = Math.min(end, to) - Math.max(at, from);
  if (duration <= 0) return [];
  const skipped = Math.max(0, from - at);
  return [
    {
      ...{ file, gain, duration, speed: 1 },
      start: start + skipped,
      at: Math.max(0, at - from),
      fadeIn: skipped === 0 ? Math.min(fadeIn, duration) : 0,
      fadeOut: end <= to ? Math.min(fadeOut, duration) : 0,
    },
  ];
}

/**
 * Seconds of the scene's sound file; undefined when it has none.
 *
 * @throws InputError when it cannot be read, has no sound, or ends before it starts
 */
export async function trackLength(
  { sound, file: place }: Sequence,
  ffmpeg: string,
): Promise<number | undefined> {
  const { track } = sound;
  if (track === undefined) return undefined;
  const { file, start } = track;
  const problem = (field: string, message: string) =>
    new InputError([{ place, path: `sound${field}`, message }]);
  const facts = await probeFile(file, ffmpeg).catch((error: unknown) => {
    if (!(error instanceof Unreadable)) throw error;
    throw problem('', `${file} cannot be read as sound: ${error.message}`);
  });
  const heard = facts.streams?.find(({ codec_type }) => codec_type === 'audio');
  if (heard === undefined) throw problem('', `${file} has no sound in it`);
  const length = Number(heard.duration ?? facts.format?.duration ?? Number.NaN);
  // Some streams do not say how long they are; then it is heard as long as it lasts.
  if (Number.isNaN(length)) return Number.POSITIVE_INFINITY;
  if (start < length) return length;
  const lasts = `${shortNumber(length, 2)} s`;
  throw problem(
    '.start',
    `takes a time within the sound, which lasts ${lasts}, found ${shortNumber(start, 2)} s`,
  );
}

function noteRemapped(
  { shots, sound: all }: Sequence,
  videos: Videos,
  onNote: ClipJob['onNote'],
): void {
  const isSilenced = ({ timing, sound, master }: Scene) =>
    timing !== undefined && all.own && sound.own && videos.get(master)?.sound !== undefined;
  if (!shots.some(isSilenced)) return;
  onNote?.("The video's sound is left out where timing changes how its time runs.");
}

/** Seconds from a shot's start for which its video sounds. */
function heardFor(shot: Scene, videos: Videos): number {
  const facts = videos.get(shot.master);
  if (!shot.sound.own || shot.timing !== undefined || facts?.sound === undefined) return 0;
  const { from, to, speed } = shot.footage ?? WHOLE_FOOTAGE;
  const end = Math.min(to ?? facts.duration, facts.duration);
  return Math.min(shot.duration, (end - from) / speed);
}
