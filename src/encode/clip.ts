import { InputError, type Problem, WorkError } from '../errors.js';
import { CODECS, type Codec } from './codecs.js';
import { CONTAINERS, type Container, containerOf } from './containers.js';
import type { Ffmpeg } from './ffmpeg.js';
import { isSequence, sequenceProblems } from './frames.js';
import { openGif } from './gif.js';
import { frameRate } from './rate.js';
import { openSequence } from './sequence.js';
import { ending, sideProblems } from './still.js';
import { fileProblems } from './target.js';
import { bytesPerFrame, type ClipWriter, type Quality } from './types.js';
import { openVideo } from './video.js';

export type { ClipWriter, PixelFormat, Quality } from './types.js';

export interface ClipOptions {
  /** Extension chooses the kind; a folder (existing, or ending in a slash) or a %05d pattern: pictures. */
  readonly file: string;
  /** Pixels. */
  readonly width: number;
  readonly height: number;
  /** Frames per second; 29.97 and its kind mean the exact NTSC rate. */
  readonly fps: number;
  readonly overwrite: boolean;
  readonly ffmpeg: Ffmpeg;
  readonly quality: Quality;
  /** Keep transparency where the kind of file can; false by default. */
  readonly alpha?: boolean;
  /** How many frames will come, where that is known: `finish` checks it. */
  readonly frames?: number;
}

/** Whether a clip of that name can have transparent parts. */
export async function keepsAlpha(file: string): Promise<boolean> {
  if (await isSequence(file)) return !/\.jpe?g$/i.test(file);
  const container = containerOf(file);
  return container !== undefined && codecOf(container).alpha;
}

const codecOf = (container: Container): Codec => CODECS[container.codecs[0]];

/** Everything that keeps the clip from being written, known before its first frame is drawn. */
export async function clipProblems(options: Omit<ClipOptions, 'ffmpeg'>): Promise<Problem[]> {
  const { file, width, height, alpha = false, overwrite } = options;
  if (await isSequence(file)) return sequenceProblems({ file, width, height, alpha, overwrite });
  const container = containerOf(file);
  if (!container) {
    const known = CONTAINERS.map(({ extension }) => extension).join(', ');
    const message = `a clip's name ends in one of ${known}, or names a folder (with / at its end) or a pattern like frames-%05d.png for single pictures, found ${ending(file)}.`;
    return [{ place: file, path: '', message }];
  }
  const codec = codecOf(container);
  const problems = sideProblems(file, codec, width, height);
  if (codec.bt709 && (width % 2 !== 0 || height % 2 !== 0)) {
    const message = `${codec.title} takes even sides, found ${width}x${height}.`;
    problems.push({ place: file, path: '', message });
  }
  return [...problems, ...(await fileProblems(file, overwrite))];
}

/**
 * Opens a clip for writing, frame by frame. Nothing appears under its name before `finish`.
 *
 * @throws InputError with every problem of `clipProblems`; WorkError when this ffmpeg lacks the encoder.
 */
export async function openClip(options: ClipOptions): Promise<ClipWriter> {
  const { file, width, height, fps, overwrite, ffmpeg, quality, alpha = false } = options;
  const problems = await clipProblems(options);
  if (problems.length > 0) throw new InputError(problems);
  if (await isSequence(file)) {
    return counted(options, await openSequence({ file, width, height, alpha, overwrite }));
  }
  const container = containerOf(file) as Container;
  const codec = codecOf(container);
  requireEncoder(ffmpeg, container, codec);
  const rate = frameRate(fps);
  const clip = {
    file,
    overwrite,
    ffmpeg,
    container,
    codec,
    width,
    height,
    rate,
    quality,
    alpha: alpha && codec.alpha,
  };
  return counted(options, await (codec.encoder === 'gif' ? openGif(clip) : openVideo(clip)));
}

function requireEncoder(
  ffmpeg: Ffmpeg,
  { extension, muxer }: Container,
  { title, encoder }: Codec,
): void {
  const lacks = !ffmpeg.encoders.has(encoder)
    ? `encoder ${encoder}`
    : !ffmpeg.muxers.has(muxer) && `muxer ${muxer}`;
  if (!lacks) return;
  const able = CONTAINERS.filter(
    (other) => ffmpeg.encoders.has(codecOf(other).encoder) && ffmpeg.muxers.has(other.muxer),
  ).map((other) => other.extension);
  throw new WorkError(
    `${extension} needs ${title}, and ffmpeg ${ffmpeg.version} (${ffmpeg.path}) was built without the ${lacks}. ` +
      `It can make ${[...able, 'single pictures'].join(', ')}; or name another ffmpeg with --ffmpeg.`,
  );
}

/** Mistakes of the caller would otherwise become pictures shifted by some rows. */
function counted({ file, width, height, frames }: ClipOptions, writer: ClipWriter): ClipWriter {
  const size = bytesPerFrame(writer.pixelFormat, width, height);
  let count = 0;
  return {
    ...writer,
    async write(frame) {
      if (frame.length !== size)
        throw new Error(`A frame of ${file} has ${size} bytes, found ${frame.length}.`);
      await writer.write(frame);
      count++;
    },
    async finish() {
      if (count === 0 || (frames !== undefined && count !== frames)) {
        await writer.abort();
        throw new Error(`${file} should have ${frames ?? 'some'} frames, found ${count}.`);
      }
      await writer.finish();
    },
  };
}
