import { z } from 'zod';
import type { Path } from './document.js';
import { numberOrText, parsed, says, text } from './fields.js';
import { parseSeconds } from './time.js';
import { shortNumber } from './words.js';

/** A loudness that a clip's sound is brought to. */
export interface Loudness {
  /** Integrated loudness, LUFS. */
  readonly lufs: number;
  /** The highest true peak, dBTP. */
  readonly peak: number;
}

/** What a sound file adds to a clip. Seconds. */
export interface Track {
  /** Absolute path. */
  readonly file: string;
  /** Where in the file it begins. */
  readonly start: number;
  /** When in the clip it begins. */
  readonly at: number;
  /** Decibels. */
  readonly gain: number;
  readonly fadeIn: number;
  readonly fadeOut: number;
}

/** What sounds with a clip. */
export interface Sound {
  /** Whether a video master's own sound is heard. */
  readonly own: boolean;
  readonly track?: Track;
  /** What all of it together is brought to. */
  readonly loudness?: Loudness;
}

/** A video master's own, as it is. */
export const OWN_SOUND: Sound = { own: true };

/**
 * Targets by name. EBU R 128 (2023): -23 LUFS, at most -1 dBTP. The others are common practice, no
 * source: what platforms on the web and in telephones level to, roughly.
 */
const TARGETS: Readonly<Record<string, Loudness>> = {
  'ebu-r128': { lufs: -23, peak: -1 },
  web: { lufs: -14, peak: -1 },
  phone: { lufs: -16, peak: -1 },
};

export const loudnessNames = Object.keys(TARGETS);

const [SOFTEST, LOUDEST] = [-40, -8];
const loudnessTakes = `takes ${loudnessNames.join(', ')} or a number of LUFS from ${SOFTEST} to ${LOUDEST}`;
const WORDS = ['master', 'none'] as const;
const soundTakes =
  "takes master, none, the name of a sound file, or a group of fields: 'file', 'gain', ...";
const gainTakes = 'takes decibels from -60 to 24';
const secondsTake = "takes seconds from 0 up (2 or '1.5s') or a timecode ('00:01.500')";

const seconds = (title: string, description: string) =>
  parsed(numberOrText(secondsTake), secondsTake, parseSeconds)
    .optional()
    .meta({ title, description, examples: [1.5] });

export const soundGroup = z.strictObject(
  {
    file: text('takes the name of a sound file')
      .optional()
      .meta({
        title: 'File',
        description:
          'A sound file, relative to the scene file: WAV, FLAC, MP3, M4A, Ogg ... or a video with sound.',
        examples: ['morning.flac'],
      }),
    start: seconds('Start', 'Where in the file it begins. Default: 0.'),
    at: seconds('At', 'When in the clip it begins. Default: 0.'),
    gain: z.number(says(gainTakes)).min(-60).max(24).optional().meta({
      title: 'Gain',
      description: 'Louder or softer, in decibels: -6 is half the amplitude. Default: 0.',
    }),
    fadeIn: seconds('Fade in', 'How long it takes to come in. Default: 0.'),
    fadeOut: seconds(
      'Fade out',
      'How long it takes to go out, at the end of the clip or of the file. Default: 1.',
    ),
    loudness: z
      .union(
        [z.enum(loudnessNames), z.number().min(SOFTEST).max(LOUDEST)],
        says(loudnessTakes, loudnessNames),
      )
      .optional()
      .meta({
        title: 'Loudness',
        description: `What all sound together is brought to: ebu-r128 (-23 LUFS, for broadcast), phone (-16), web (-14), or a number of LUFS; true peaks stay below -1 dBTP. Default: as it is.`,
        examples: ['ebu-r128'],
      }),
    own: z.boolean(says('takes true or false')).optional().meta({
      title: "The master's own",
      description:
        "Whether a video master's own sound is heard too. Default: true without a file, else false.",
    }),
  },
  says(soundTakes),
);

/** A word, a file's name, or a group. */
export const soundField = z
  .union([z.enum(WORDS, says(soundTakes)), z.string().min(1), soundGroup])
  .optional()
  .meta({
    title: 'Sound',
    description:
      "What sounds with the clip: master, a video master's own sound, cut and sped as its pictures are; none; a sound file, cut to the clip's length; or a group. Default: master.",
    examples: ['none', 'morning.flac'],
  });

export interface SoundPlacing {
  /** Of the clip, in seconds. */
  readonly duration: number;
  readonly fileOf: (name: string) => string;
  readonly report: (path: Path, message: string) => void;
}

export function resolveSound(
  field: z.output<typeof soundField>,
  { duration, fileOf, report }: SoundPlacing,
): Sound {
  if (field === undefined || field === 'master') return OWN_SOUND;
  if (field === 'none') return { own: false };
  const fields = typeof field === 'string' ? { file: field } : field;
  const { file, loudness, at = 0 } = fields;
  if (at >= duration) {
    const length = `${shortNumber(duration)} s`;
    report(
      ['sound', 'at'],
      `takes a time before the clip's end, ${length}, found ${shortNumber(at)} s`,
    );
  }
  if (file === undefined) {
    for (const name of ['start', 'at', 'gain', 'fadeIn', 'fadeOut'] as const) {
      if (fields[name] !== undefined) report(['sound', name], "is for a sound file: name a 'file'");
    }
  }
  const track = file === undefined ? undefined : { file: fileOf(file), ...timesOf(fields, at) };
  return {
    own: fields.own ?? file === undefined,
    ...(track && { track }),
    ...(loudness === undefined
      ? {}
      : {
          loudness:
            typeof loudness === 'number' ? { lufs: loudness, peak: -1 } : TARGETS[loudness]!,
        }),
  };
}

/** A file that stops with the clip stops softly. */
const USUAL_FADE = 1;

const timesOf = (
  { start = 0, gain = 0, fadeIn = 0, fadeOut = USUAL_FADE }: z.output<typeof soundGroup>,
  at: number,
): Omit<Track, 'file'> => ({ start, at, gain, fadeIn, fadeOut });
