import type { Problem } from '../errors.js';
import { CODEC_NAMES, CODECS, type Codec, type CodecName } from './codecs.js';
import { CONTAINERS, type Container } from './containers.js';
import type { Encoder } from './encoders/types.js';
import { isPictureCodec, PICTURE_CODEC_NAMES, type PictureCodecName } from './pictureCodecs.js';

/** How a clip is encoded, where the usual way is not wanted. */
export interface Choice {
  /** By default the first that the file's extension holds. */
  readonly codec?: CodecName | PictureCodecName;
  /** Constant quality on the encoder's own scale, smaller is better; by default the codec's usual. */
  readonly crf?: number;
  /** Average bits per second, in place of a constant quality. */
  readonly bitrate?: number;
  /** One of the encoder's presets. */
  readonly preset?: string;
  /** `hardware`, or ffmpeg's name of an encoder. */
  readonly encoder?: string;
}

export const HARDWARE = 'hardware';

export const ALL_CODEC_NAMES: readonly string[] = [...CODEC_NAMES, ...PICTURE_CODEC_NAMES];

export const isCodecName = (name: string): name is CodecName | PictureCodecName =>
  isClipCodec(name) || isPictureCodec(name);

export const isClipCodec = (name: string): name is CodecName =>
  (CODEC_NAMES as string[]).includes(name);

export const oneOf = (words: readonly string[]): string =>
  words.length < 2
    ? (words[0] ?? 'nothing')
    : `${words.slice(0, -1).join(', ')} or ${words.at(-1)}`;

const extensionsFor = (name: string): string[] =>
  CONTAINERS.filter(({ codecs }) => (codecs as readonly string[]).includes(name)).map(
    ({ extension }) => extension,
  );

/** The usual extension of a clip of that codec; undefined for those of single pictures. */
export const extensionFor = (name: string): string | undefined => extensionsFor(name)[0];

/** The codec asked for, or else the container's usual one that the encoder asked for makes. */
export function codecFor({ codecs }: Container, choice: Choice): Codec {
  if (choice.codec !== undefined && isClipCodec(choice.codec)) return CODECS[choice.codec];
  const made = codecs.find((name) => encoderNamed(CODECS[name], choice.encoder));
  return CODECS[made ?? codecs[0]];
}

export const encoderNamed = ({ encoders }: Codec, name?: string): Encoder | undefined =>
  encoders.find((encoder) => encoder.name === name);

/** What of the choice does not go together, or not with the file. */
export function choiceProblems(file: string, container: Container, choice: Choice): Problem[] {
  const misplaced = codecProblem(file, container, choice);
  if (misplaced) return [misplaced];
  const codec = codecFor(container, choice);
  return [encoderMessage, crfMessage, bitrateMessage, presetMessage]
    .map((check) => check(codec, choice))
    .filter((found) => found !== undefined)
    .map(([path, message]) => ({ place: file, path, message }));
}

function codecProblem(
  file: string,
  { extension, codecs }: Container,
  { codec }: Choice,
): Problem | undefined {
  if (codec === undefined || (codecs as readonly string[]).includes(codec)) return undefined;
  const place = isPictureCodec(codec)
    ? 'name a folder (with / at its end) or a pattern like frames-%05d.png'
    : `name the file ${oneOf(extensionsFor(codec))}`;
  const message = `${extension} holds ${oneOf(codecs)}, found ${codec}: choose one of these, or ${place}.`;
  return { place: file, path: '--codec', message };
}

type Message = readonly [option: string, message: string] | undefined;

function encoderMessage(codec: Codec, { encoder }: Choice): Message {
  if (encoder === undefined || encoderNamed(codec, encoder)) return undefined;
  const hardware = codec.encoders.some((each) => each.hardware);
  if (encoder === HARDWARE && hardware) return undefined;
  const known = [...(hardware ? [HARDWARE] : []), ...codec.encoders.map(({ name }) => name)];
  return ['--encoder', `${codec.title} is made by ${oneOf(known)}, found ${encoder}.`];
}

/** Those that the choice leaves; the others would refuse its preset or its crf. */
function considered(codec: Codec, { encoder }: Choice): readonly Encoder[] {
  if (encoder === HARDWARE) return codec.encoders;
  const exact = encoderNamed(codec, encoder);
  return exact ? [exact] : codec.encoders.filter(({ hardware }) => !hardware);
}

export function takesCrf({ crf }: Encoder, value: number | undefined): boolean {
  return (
    value === undefined || (crf !== undefined && value >= crf.smallest && value <= crf.largest)
  );
}

export const takesPreset = ({ presets }: Encoder, value: string | undefined): boolean =>
  value === undefined || (presets?.names.includes(value) ?? false);

function crfMessage(codec: Codec, choice: Choice): Message {
  const { crf, bitrate } = choice;
  if (crf === undefined) return undefined;
  if (bitrate !== undefined) return ['--crf', 'goes without --bitrate: give one of the two.'];
  const able = considered(codec, choice);
  if (able.some((encoder) => takesCrf(encoder, crf))) return undefined;
  const scale = able.find((encoder) => encoder.crf)?.crf;
  return scale
    ? [
        '--crf',
        `${codec.title} takes ${scale.smallest} (best picture) to ${scale.largest} (smallest file), usually ${scale.usual}, found ${crf}.`,
      ]
    : ['--crf', `${codec.title} has no such setting: leave it out.`];
}

function bitrateMessage(codec: Codec, choice: Choice): Message {
  if (choice.bitrate === undefined || considered(codec, choice).some(({ bitrate }) => bitrate)) {
    return undefined;
  }
  return ['--bitrate', `${codec.title} sets its own bit rate: leave it out.`];
}

function presetMessage(codec: Codec, choice: Choice): Message {
  const { preset } = choice;
  const able = considered(codec, choice);
  if (able.some((encoder) => takesPreset(encoder, preset))) return undefined;
  const takes = able.flatMap(({ name, presets }) => (presets ? [`${name}: ${presets.take}`] : []));
  return takes.length === 0
    ? ['--preset', `${codec.title} has no presets: leave it out.`]
    : ['--preset', `${codec.title} takes (by ${takes.join('; by ')}), found ${preset}.`];
}
