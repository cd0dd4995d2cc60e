import type { Command } from 'commander';
import {
  ALL_CODEC_NAMES,
  type Choice,
  extensionFor,
  HARDWARE,
  isCodecName,
} from '../encode/choice.js';
import { CODECS, type Codec } from '../encode/codecs.js';
import { isPictureCodec } from '../encode/pictureCodecs.js';
import { complaint, didYouMean } from '../scene/words.js';
import type { OptionReader } from './options.js';

export interface EncodingWords {
  readonly codec?: string;
  readonly crf?: string;
  readonly bitrate?: string;
  readonly preset?: string;
  readonly encoder?: string;
}

/** "H.264, HEVC ultrafast to placebo; AV1 0 to 12": those of one setting together. */
function perCodec(settingOf: (codec: Codec) => string | undefined): string {
  const titles = new Map<string, string[]>();
  for (const codec of Object.values(CODECS)) {
    const setting = settingOf(codec);
    // The 10-bit kinds take what the others do.
    if (setting === undefined || codec.title.includes(' with ')) continue;
    titles.set(setting, [...(titles.get(setting) ?? []), codec.title]);
  }
  return [...titles].map(([setting, names]) => `${names.join(', ')} ${setting}`).join('; ');
}

const crfs = perCodec(({ encoders: [{ crf }] }) =>
  crf ? `${crf.smallest} to ${crf.largest}, usually ${crf.usual}` : undefined,
);

const presets = perCodec(({ encoders: [{ presets }] }) =>
  presets ? `${presets.names[0]} to ${presets.names.at(-1)}` : undefined,
);

/** How clips are encoded: the same words wherever clips are made. */
export const withEncodingOptions = (command: Command): Command =>
  command
    .option(
      '--codec <name>',
      `${ALL_CODEC_NAMES.join(', ')} (default: what the file's name asks for: .mp4 and .mov h264, .webm vp9, pictures png)`,
    )
    .option('--crf <n>', `constant quality, smaller is better and larger (${crfs})`)
    .option(
      '--bitrate <rate>',
      'in place of --crf: average bits per second, such as 12M (megabits) or 800k (kilobits)',
    )
    .option('--preset <name>', `time spent on making the file small (${presets})`)
    .option(
      '--encoder <name>',
      `${HARDWARE} (the graphics chip, where it works: quicker, larger files), or one of ffmpeg's by its name (default: software, and for drafts what is quickest)`,
    );

/** What the words say, as far as it can be told without a file and an ffmpeg. */
export function readChoice(reader: OptionReader, words: EncodingWords): Choice {
  const codec = readCodec(reader, words.codec);
  const crf = reader.read('--crf', words.crf, 'takes a whole number such as 20', parseWhole);
  const bitrate = reader.read('--bitrate', words.bitrate, BITRATE_TAKES, parseBitrate);
  const { preset, encoder } = words;
  return {
    ...(codec === undefined ? {} : { codec }),
    ...(crf === undefined ? {} : { crf }),
    ...(bitrate === undefined ? {} : { bitrate }),
    ...(preset === undefined ? {} : { preset }),
    ...(encoder === undefined ? {} : { encoder }),
  };
}

function readCodec(reader: OptionReader, text: string | undefined): Choice['codec'] {
  if (text === undefined || isCodecName(text)) return text;
  const takes = complaint(`takes ${ALL_CODEC_NAMES.join(', ')}`, text);
  reader.problem('--codec', `${takes}${didYouMean(text, ALL_CODEC_NAMES)}`);
  return undefined;
}

const BITRATE_TAKES = 'takes 10k to 1000M bits per second, such as 12M or 800k';

function parseWhole(text: string): number | undefined {
  return /^\d{1,3}$/u.test(text) ? Number(text) : undefined;
}

/** Bits per second. */
export function parseBitrate(text: string): number | undefined {
  const [, number, unit = ''] = /^(\d{1,10}(?:\.\d{1,6})?)([kM]?)$/u.exec(text.trim()) ?? [];
  if (number === undefined) return undefined;
  const bits = Math.round(Number(number) * { '': 1, k: 1e3, M: 1e6 }[unit as '' | 'k' | 'M']);
  return bits >= 1e4 && bits <= 1e9 ? bits : undefined;
}

/** What is added to a clip's name where nobody names the file. */
export function endingFor({ codec }: Choice): string {
  if (codec === undefined) return '.mp4';
  return isPictureCodec(codec) ? '/' : (extensionFor(codec) ?? '.mp4');
}
