import { InputError, type Problem } from '../errors.js';
import { type Choice, choiceProblems, codecFor, takesCrf, takesPreset } from './choice.js';
import { CODECS } from './codecs.js';
import { CONTAINERS, type Container, containerOf } from './containers.js';
import type { Encoder } from './encoders/types.js';
import type { Ffmpeg } from './ffmpeg.js';
import { isSequence, type SequenceFiles, sequenceProblems } from './frames.js';
import { openGif } from './gif.js';
import { pickEncoder } from './pickEncoder.js';
import { isPictureCodec, PICTURE_CODEC_NAMES } from './pictureCodecs.js';
import { frameRate } from './rate.js';
import { openSequence } from './sequence.js';
import { canSound, type SoundPlan } from './sound.js';
import { ending, sideProblems } from './still.js';
import { fileProblems } from './target.js';
import { bytesPerFrame, type ClipWriter, type Quality } from './types.js';
import { openVideo } from './video.js';

export type { Choice } from './choice.js';
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
  /** Codec, encoder and their settings, where the usual ones are not wanted. */
  readonly choice?: Choice;
  /** Keep transparency where the kind of file can; false by default. */
  readonly alpha?: boolean;
  /** How many frames will come, where that is known: `finish` checks it. */
  readonly frames?: number;
  /** Told, in a sentence, where an encoder had to stand in for the one that was asked for. */
  readonly onNote?: (note: string) => void;
  /** The frame is a whole equirectangular sphere: MP4 and MOV then say so; false by default. */
  readonly spherical?: boolean;
  /** What is heard with it, in the kinds of clip that have sound; silent by default. */
  readonly sound?: SoundPlan | undefined;
}

/** Whether a clip of that name, of that choice, can have transparent parts. */
export async function keepsAlpha(file: string, choice: Choice = {}): Promise<boolean> {
  if (await isSequence(file)) return choice.codec !== 'jpeg' && !/\.jpe?g$/i.test(file);
  const container = containerOf(file);
  return container !== undefined && codecFor(container, choice).alpha;
}

/** Everything that keeps the clip from being written, known before its first frame is drawn. */
export async function clipProblems(options: Omit<ClipOptions, 'ffmpeg'>): Promise<Problem[]> {
  const { file, width, height, overwrite, choice = {} } = options;
  if (await isSequence(file)) {
    return [...pictureProblems(file, choice), ...(await sequenceProblems(sequenceOf(options)))];
  }
  const container = containerOf(file);
  if (!container) {
    const known = CONTAINERS.map(({ extension }) => extension).join(', ');
    const message = `a clip's name ends in one of ${known}, or names a folder (with / at its end) or a pattern like frames-%05d.png for single pictures, found ${ending(file)}.`;
    return [{ place: file, path: '', message }];
  }
  const codec = codecFor(container, choice);
  const problems = [
    ...choiceProblems(file, container, choice),
    ...sideProblems(file, codec, width, height),
  ];
  if (codec.bt709 && (width % 2 !== 0 || height % 2 !== 0)) {
    const message = `${codec.title} takes even sides, found ${width}x${height}.`;
    problems.push({ place: file, path: '', message });
  }
  return [...problems, ...(await fileProblems(file, overwrite))];
}

/** Pictures have a codec and nothing else to choose. */
function pictureProblems(file: string, choice: Choice): Problem[] {
  const { codec, ...rest } = choice;
  const misplaced = codec !== undefined && !isPictureCodec(codec);
  return [
    ...(misplaced
      ? [['--codec', `single pictures are ${PICTURE_CODEC_NAMES.join(', ')}, found ${codec}.`]]
      : []),
    ...Object.entries(rest)
      .filter(([, value]) => value !== undefined)
      .map(([name]) => [`--${name}`, 'single pictures have no such setting: leave it out.']),
  ].map(([path = '', message = '']) => ({ place: file, path, message }));
}

function sequenceOf(options: Omit<ClipOptions, 'ffmpeg'>): SequenceFiles {
  const { file, width, height, alpha = false, overwrite, choice } = options;
  const codec = choice?.codec;
  const pictures = codec !== undefined && isPictureCodec(codec) ? { codec } : {};
  return { file, width, height, alpha, overwrite, ...pictures };
}

/**
 * Opens a clip for writing, frame by frame. Nothing appears under its name before `finish`.
 *
 * @throws InputError with every problem of `clipProblems`; WorkError when this ffmpeg lacks the encoder.
 */
export async function openClip(options: ClipOptions): Promise<ClipWriter> {
  const { file, width, height, fps, overwrite, ffmpeg, quality, choice = {} } = options;
  const { spherical = false, sound, onNote } = options;
  const problems = await clipProblems(options);
  if (problems.length > 0) throw new InputError(problems);
  if (await isSequence(file)) return counted(options, await openSequence(sequenceOf(options)));
  const container = containerOf(file) as Container;
  const codec = codecFor(container, choice);
  const alpha = (options.alpha ?? false) && codec.alpha;
  const wish = { ffmpeg, container, codec, choice, quality, alpha, width, height };
  const { encoder, note } = await pickEncoder(wish);
  if (note !== undefined) options.onNote?.(note);
  const settings = settingsOf(encoder, choice, quality);
  const rate = frameRate(fps);
  if (sound !== undefined && !canSound(container)) {
    onNote?.(`${container.extension} clips have no sound: take .mp4, .mov or .webm for it.`);
  }
  const clip = { ...wish, ...settings, file, overwrite, encoder, rate, spherical, onNote };
  const heard = canSound(container) ? { sound } : {};
  return counted(
    options,
    await (codec === CODECS.gif ? openGif(clip) : openVideo({ ...clip, ...heard })),
  );
}

/** What was chosen, as far as this encoder knows it. */
function settingsOf(encoder: Encoder, choice: Choice, quality: Quality) {
  const { crf, presets } = encoder;
  return {
    crf: (takesCrf(encoder, choice.crf) ? choice.crf : undefined) ?? crf?.usual ?? 0,
    preset:
      (takesPreset(encoder, choice.preset) ? choice.preset : undefined) ??
      presets?.usual[quality] ??
      '',
    bitrate: choice.bitrate,
  };
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
