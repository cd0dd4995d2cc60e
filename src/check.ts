import { findFfmpeg } from './encode/ffmpeg.js';
import { readVideos, type Videos } from './flow/footage.js';
import { trackLength } from './flow/sound.js';
import { checkMaster } from './master/open.js';
import type { Sequence } from './scene/types.js';

export type { VideoFacts } from './master/video/types.js';

/**
 * Looks at a scene's masters and its sound, as far as that is quick: pictures by their headers, videos by what their
 * containers say, and whether they have what the scene wants of them.
 *
 * @returns what is known of the videos, by their files
 * @throws InputError with what is wrong with them; WorkError where ffmpeg or ffprobe is needed and missing
 */
export async function checkMasters(scene: Sequence, ffmpeg?: string): Promise<Videos> {
  const videos = await readVideos(scene, ffmpeg);
  for (const file of new Set(scene.shots.map((shot) => shot.master))) {
    if (!videos.has(file)) await checkMaster(file, ffmpeg === undefined ? {} : { ffmpeg });
  }
  if (scene.sound.track !== undefined) await trackLength(scene, (await findFfmpeg(ffmpeg)).path);
  return videos;
}
