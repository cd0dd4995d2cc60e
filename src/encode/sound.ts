import { resolve } from 'node:path';
import type { Container } from './containers.js';
import type { Ffmpeg } from './ffmpeg.js';
import type { MeasuredLoudness } from './loudness.js';

/** A stretch of a file's sound, and where in the clip it is heard. Seconds throughout. */
export interface SoundPiece {
  readonly file: string;
  /** Where in the file it begins: after the first instant of the file's own clock. */
  readonly start: number;
  /** Seconds of the file to a second of the clip: 2 is twice as fast, at the same pitch. */
  readonly speed: number;
  /** When in the clip it is heard first, and for how long. */
  readonly at: number;
  readonly duration: number;
  /** How long it takes to come in and to go out; 0 for at once. */
  readonly fadeIn: number;
  readonly fadeOut: number;
  /** Decibels; 0 by default. */
  readonly gain?: number;
}

/** What sounds with a clip: all pieces together, and silence where there is none. */
export interface SoundPlan {
  /** At least one. */
  readonly pieces: readonly SoundPiece[];
  /** Of the clip. */
  readonly duration: number;
  /** What all of it together is brought to: LUFS, dBTP, and what was measured before. */
  readonly loudness?: {
    readonly lufs: number;
    readonly peak: number;
    readonly measured?: MeasuredLoudness;
  };
}

/** Samples a second in clips, the usual rate of video. */
const RATE = 48000;

/** A kind of sound in a file. */
interface SoundCodec {
  /** ffmpeg's encoder. */
  readonly encoder: string;
  readonly options: readonly string[];
}

const AAC: SoundCodec = { encoder: 'aac', options: ['-b:a', '192k'] };
const OPUS: SoundCodec = { encoder: 'libopus', options: ['-b:a', '128k'] };
const VORBIS: SoundCodec = { encoder: 'libvorbis', options: ['-q:a', '6'] };
const PCM: SoundCodec = { encoder: 'pcm_s24le', options: [] };

/** Those that a clip of that container and picture codec may have, the first choice first. */
function soundCodecs({ extension }: Container, picture: string): readonly SoundCodec[] {
  if (extension === '.mp4') return [AAC];
  // ProRes is cut again, and what is cut again is left unpacked.
  if (extension === '.mov') return picture.startsWith('ProRes') ? [PCM, AAC] : [AAC];
  return extension === '.webm' ? [OPUS, VORBIS] : [];
}

/** Whether clips of that container have sound at all. */
export const canSound = (container: Container): boolean => soundCodecs(container, '').length > 0;

export interface SoundArguments {
  /** ffmpeg's further inputs, and the output's options. */
  readonly inputs: readonly string[];
  readonly outputs: readonly string[];
}

/**
 * What ffmpeg must be told for a clip's sound beside its frames, which are its input 0.
 *
 * @param picture title of the picture's codec
 * @returns undefined where this ffmpeg has no encoder for it
 */
export function soundArguments(
  plan: SoundPlan,
  container: Container,
  picture: string,
  { encoders }: Pick<Ffmpeg, 'encoders'>,
): SoundArguments | undefined {
  const codec = soundCodecs(container, picture).find(({ encoder }) => encoders.has(encoder));
  if (codec === undefined) return undefined;
  const { inputs, graph } = soundChain(plan, 1);
  return {
    inputs,
    outputs: [
      ...['-filter_complex', `${graph}${levelled(plan)}`],
      ...['-map', '0:v:0', '-map', plan.loudness?.measured ? '[levelled]' : '[sound]'],
      // Nothing of what the file says of itself, such as where and when it was made.
      ...['-map_metadata', '-1', '-map_chapters', '-1'],
      ...['-c:a', codec.encoder, ...codec.options, '-ar', String(RATE)],
    ],
  };
}

/**
 * The inputs of a plan's pieces, the first of them ffmpeg's input number `first`, and the filters that make
 * of them one stream, `[sound]`.
 */
export function soundChain(
  { pieces, duration }: SoundPlan,
  first: number,
): { readonly inputs: readonly string[]; readonly graph: string } {
  const chains = pieces.map((piece, index) => `[${first + index}:a:0]${chainOf(piece)}[p${index}]`);
  const names = pieces.map((_, index) => `[p${index}]`).join('');
  const together =
    pieces.length === 1 ? 'anull' : `amix=inputs=${pieces.length}:normalize=0:duration=longest`;
  const whole = `apad=whole_dur=${time(duration)},atrim=end=${time(duration)}`;
  return {
    inputs: pieces.flatMap(({ file, start, duration: length, speed }) => [
      ...['-ss', time(start), '-t', time(length * speed + 0.1), '-i', `file:${resolve(file)}`],
    ]),
    graph: [...chains, `${names}${together},${whole}[sound]`].join(';'),
  };
}

/** One gain for the whole clip where its peaks allow it; loudnorm limits them where they do not. */
function levelled({ loudness }: SoundPlan): string {
  if (loudness?.measured === undefined) return '';
  const { lufs, peak, measured } = loudness;
  const told = [
    `I=${lufs}:TP=${peak}:LRA=${Math.min(50, Math.max(7, measured.range)).toFixed(2)}:linear=true`,
    `measured_I=${measured.integrated}:measured_LRA=${measured.range}`,
    `measured_TP=${measured.peak}:measured_thresh=${measured.threshold}:offset=${measured.offset}`,
  ];
  return `;[sound]loudnorm=${told.join(':')},aresample=${RATE}[levelled]`;
}

/** One piece's filters, from what was read to its place in the clip. */
function chainOf({ speed, at, duration, fadeIn, fadeOut, gain = 0 }: SoundPiece): string {
  return [
    // What begins later than asked for keeps its time, with silence before it.
    `aresample=${RATE}:async=1:first_pts=0`,
    'aformat=channel_layouts=stereo|mono',
    ...tempoOf(speed),
    `atrim=end=${time(duration)}`,
    ...(gain === 0 ? [] : [`volume=${gain}dB`]),
    ...(fadeIn > 0 ? [`afade=t=in:d=${time(fadeIn)}`] : []),
    ...(fadeOut > 0 ? [`afade=t=out:st=${time(duration - fadeOut)}:d=${time(fadeOut)}`] : []),
    ...(at > 0 ? [`adelay=${Math.round(at * 1000)}:all=1`] : []),
  ].join(',');
}

/** atempo takes 0.5 to 100, and above 2 it skips samples rather than blend them. */
function tempoOf(speed: number): string[] {
  const steps = Math.max(1, Math.ceil(Math.abs(Math.log2(speed))));
  if (speed === 1) return [];
  return Array.from({ length: steps }, () => `atempo=${(speed ** (1 / steps)).toFixed(9)}`);
}

const time = (seconds: number): string => seconds.toFixed(6);
