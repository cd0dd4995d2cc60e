import type { VideoFacts } from '../check.js';
import type { SequenceSummary } from '../scene/summary.js';
import { shortNumber } from '../scene/words.js';

/** A scene's summary with plain data of its video masters, for `orbreel check --json`. */
export const withVideos = (
  summary: SequenceSummary,
  videos: ReadonlyMap<string, VideoFacts>,
): object => ({
  ...summary,
  shots: summary.shots.map((shot) => {
    const video = videos.get(shot.master);
    return video === undefined ? shot : { ...shot, video: videoSummary(video) };
  }),
});

const videoSummary = ({ width, height, duration, fps, variable, ...facts }: VideoFacts) => ({
  ...{ width, height, duration, fps, variable, codec: facts.codec, bits: facts.layout.bits },
  ...{ matrix: facts.colour.matrix, range: facts.colour.range },
  ...(facts.sound === undefined ? {} : { sound: facts.sound }),
});

/** A video master in a line: `3840x1920, 12.5 s at 29.97 frames per second, hevc, 10 bits; sound aac`. */
export function videoText({
  width,
  height,
  duration,
  fps,
  variable,
  ...facts
}: VideoFacts): string {
  const rate = `${shortNumber(fps)} frames per second${variable ? ' on average' : ''}`;
  const sound = facts.sound === undefined ? 'no sound' : `sound ${facts.sound.codec}`;
  return `${width}x${height}, ${shortNumber(duration)} s at ${rate}, ${facts.codec}, ${facts.layout.bits} bits; ${sound}`;
}
