import type { Codec, Stream } from './codecs.js';
import type { Container } from './containers.js';
import type { Ffmpeg } from './ffmpeg.js';
import { guarded } from './guard.js';
import { rawInput, videoTags } from './input.js';
import { startFfmpeg } from './process.js';
import { openTarget } from './target.js';
import type { ClipWriter } from './types.js';

export interface VideoFile extends Stream {
  readonly file: string;
  readonly overwrite: boolean;
  readonly ffmpeg: Ffmpeg;
  readonly container: Container;
  readonly codec: Codec;
}

/** A clip that one run of ffmpeg makes. */
export async function openVideo(clip: VideoFile): Promise<ClipWriter> {
  const { file, width, height, rate, container, codec } = clip;
  const pixelFormat = codec.pixelFormat(clip.alpha);
  const target = await openTarget(file, clip.overwrite);
  const run = startFfmpeg(
    clip.ffmpeg.path,
    [
      ...rawInput(pixelFormat, width, height, rate),
      ...['-an', '-c:v', codec.encoder, ...codec.options(clip)],
      ...(codec.bt709 ? videoTags : []),
      ...container.options(rate),
      ...['-f', container.muxer, `file:${target.temporary}`],
    ],
    file,
    { [`file:${target.temporary}`]: file, [target.temporary]: file },
  );
  return guarded({
    pixelFormat,
    write: (frame) => run.write(frame),
    async finish() {
      await run.finish();
      await target.commit();
    },
    async abort() {
      await run.kill();
      await target.discard();
    },
  });
}
