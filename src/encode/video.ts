import type { Codec } from './codecs.js';
import type { Container } from './containers.js';
import type { Encoder, Stream } from './encoders/types.js';
import { x264 } from './encoders/x26x.js';
import type { Ffmpeg } from './ffmpeg.js';
import { guarded } from './guard.js';
import { rawInput, videoTags } from './input.js';
import { type Run, startFfmpeg } from './process.js';
import { type SoundPlan, soundArguments } from './sound.js';
import { tellSphere } from './spherical/clip.js';
import { openTarget } from './target.js';
import { tellTrueLevel } from './trueLevel.js';
import type { ClipWriter } from './types.js';
import { toYuv10, type Yuv10Format, yuv10Bytes } from './yuv10.js';

export interface VideoFile extends Stream {
  readonly file: string;
  readonly overwrite: boolean;
  readonly ffmpeg: Ffmpeg;
  readonly container: Container;
  readonly codec: Codec;
  readonly encoder: Encoder;
  /** The frame is a whole equirectangular sphere, and the file is to say so, where it can. */
  readonly spherical: boolean;
  /** What is heard with it; silent, without a track, by default. */
  readonly sound?: SoundPlan | undefined;
  readonly onNote?: ((note: string) => void) | undefined;
}

/** A clip that one run of ffmpeg makes. */
export async function openVideo(clip: VideoFile): Promise<ClipWriter> {
  const { file, width, height, rate, container, codec, encoder } = clip;
  const pixelFormat = codec.pixelFormat(clip.alpha);
  const feed = encoder.feed?.(clip.alpha);
  const sound = clip.sound && soundArguments(clip.sound, container, codec.title, clip.ffmpeg);
  if (clip.sound && sound === undefined) {
    clip.onNote?.(
      `This ffmpeg has no encoder for the sound of ${container.extension} clips, so they are silent.`,
    );
  }
  const target = await openTarget(file, clip.overwrite);
  const run = startFfmpeg(
    clip.ffmpeg.path,
    [
      ...(encoder.before ?? []),
      ...rawInput(feed ?? pixelFormat, width, height, rate),
      ...(sound?.inputs ?? []),
      ...(sound?.outputs ?? ['-an']),
      ...['-c:v', encoder.name, ...encoder.options(clip)],
      ...(codec.tag ? ['-tag:v', codec.tag] : []),
      ...(codec.bt709 ? videoTags : []),
      ...container.options(rate),
      ...['-f', container.muxer, `file:${target.temporary}`],
    ],
    file,
    { [`file:${target.temporary}`]: file, [target.temporary]: file },
  );
  return guarded({
    pixelFormat,
    write: feed ? converted(feed, clip, run) : (frame) => run.write(frame),
    async finish() {
      await run.finish();
      if (encoder === x264) await tellTrueLevel(target.temporary, clip);
      if (clip.spherical) await tellSphere(target.temporary, file, container);
      await target.commit();
    },
    async abort() {
      await run.kill();
      await target.discard();
    },
  });
}

function converted(format: Yuv10Format, { width, height }: VideoFile, run: Run) {
  const planes = new Uint8Array(yuv10Bytes(format, width, height));
  return (frame: Uint8Array): Promise<void> => {
    toYuv10(frame, width, height, format, planes);
    return run.write(planes);
  };
}
