import { WorkError } from '../errors.js';
import { type Choice, encoderNamed, HARDWARE, oneOf, takesCrf, takesPreset } from './choice.js';
import { CODECS, type Codec } from './codecs.js';
import { CONTAINERS, type Container } from './containers.js';
import type { Encoder } from './encoders/types.js';
import type { Ffmpeg } from './ffmpeg.js';
import { tryEncoder } from './trial.js';
import type { Quality } from './types.js';

export interface Wish {
  readonly ffmpeg: Ffmpeg;
  readonly container: Container;
  readonly codec: Codec;
  readonly choice: Choice;
  readonly quality: Quality;
  readonly alpha: boolean;
  readonly width: number;
  readonly height: number;
}

export interface Picked {
  readonly encoder: Encoder;
  /** Where it is not what was asked for: why. */
  readonly note?: string;
}

/**
 * The encoder for a clip. Hardware only where it is asked for, or for a draft that leaves the choice
 * open, and only where it works; software takes its place otherwise, with a note to who had asked.
 *
 * @throws WorkError where this ffmpeg has none; it names what this ffmpeg can make.
 */
export async function pickEncoder(wish: Wish): Promise<Picked> {
  const { choice, codec, ffmpeg } = wish;
  const exact = encoderNamed(codec, choice.encoder);
  const asked = choice.encoder === HARDWARE || exact?.hardware === true;
  const chips = asked || isOpenDraft(wish) ? await hardwareFor(wish, exact) : { reasons: [] };
  if (chips.encoder) return { encoder: chips.encoder };
  if (!ffmpeg.muxers.has(wish.container.muxer)) {
    throw lacking(wish, `muxer ${wish.container.muxer}`);
  }
  const software = softwareOf(wish);
  const named = exact && !exact.hardware ? exact : undefined;
  const encoder = named ? software.find((each) => each === named) : software[0];
  if (!encoder) {
    const missing = (named ? [named] : codec.encoders.filter((each) => !each.hardware))
      .map(({ name }) => name)
      .filter((name) => !ffmpeg.encoders.has(name));
    throw lacking(wish, `${missing.length > 1 ? 'encoders' : 'encoder'} ${missing.join(' and ')}`);
  }
  const notes = [
    ...(asked
      ? [insteadOf(exact?.name ?? `Hardware for ${codec.title}`, chips.reasons, encoder)]
      : []),
    ...(takesPreset(encoder, choice.preset) ? [] : [otherPreset(encoder, choice)]),
  ];
  return notes.length === 0 ? { encoder } : { encoder, note: notes.join(' ') };
}

function insteadOf(what: string, reasons: readonly string[], { name }: Encoder): string {
  const why =
    reasons.length === 0 ? 'this ffmpeg has none that takes the clip' : reasons.join('; ');
  return `${what} does not work here (${why}): ${name} encodes instead.`;
}

const otherPreset = ({ name, presets }: Encoder, { preset }: Choice): string =>
  `${name} has no preset ${preset}: it uses its usual one${presets ? `, of ${presets.take}` : ''}.`;

const isOpenDraft = ({ quality, choice: { crf, bitrate, preset, encoder } }: Wish): boolean =>
  quality === 'draft' && [crf, bitrate, preset, encoder].every((each) => each === undefined);

async function hardwareFor(
  { ffmpeg, codec, choice, quality, alpha, width, height }: Wish,
  exact: Encoder | undefined,
): Promise<{ encoder?: Encoder; reasons: string[] }> {
  const { longest, shortest } = sides(width, height);
  const candidates = codec.encoders.filter(
    (encoder) =>
      encoder.hardware &&
      (!exact || encoder === exact) &&
      ffmpeg.encoders.has(encoder.name) &&
      longest <= (encoder.longestSide ?? longest) &&
      shortest >= (encoder.shortestSide ?? shortest) &&
      !(alpha && encoder.opaque) &&
      takesPreset(encoder, choice.preset) &&
      takesCrf(encoder, choice.crf),
  );
  const trials = await Promise.all(
    candidates.map((encoder) => tryEncoder(ffmpeg, encoder, codec, quality)),
  );
  const encoder = candidates[trials.findIndex(({ works }) => works)];
  const reasons = candidates.map(({ name }, index) => `${name}: ${trials[index]!.reason}`);
  return encoder ? { encoder, reasons } : { reasons };
}

const sides = (width: number, height: number) => ({
  longest: Math.max(width, height),
  shortest: Math.min(width, height),
});

/** Those built into this ffmpeg that take the frames, and rather one that takes the preset too. */
function softwareOf({ ffmpeg, codec, choice, width, height }: Wish): Encoder[] {
  const { shortest } = sides(width, height);
  const able = codec.encoders.filter(
    (encoder) =>
      !encoder.hardware &&
      ffmpeg.encoders.has(encoder.name) &&
      shortest >= (encoder.shortestSide ?? shortest),
  );
  const wished = able.filter(
    (encoder) => takesPreset(encoder, choice.preset) && takesCrf(encoder, choice.crf),
  );
  return wished.length > 0 ? wished : able;
}

function lacking({ container, codec, ffmpeg }: Wish, what: string): WorkError {
  const { encoders, muxers } = ffmpeg;
  const able = CONTAINERS.filter(({ muxer }) => muxers.has(muxer)).flatMap((each) => {
    const names = each.codecs.filter((name) =>
      CODECS[name].encoders.some((encoder) => !encoder.hardware && encoders.has(encoder.name)),
    );
    return names.length === 0 ? [] : [`${each.extension} (${names.join(', ')})`];
  });
  return new WorkError(
    `${container.extension} needs ${codec.title}, and ffmpeg ${ffmpeg.version} (${ffmpeg.path}) was built without the ${what}. ` +
      `It can make ${oneOf([...able, 'single pictures'])}; or name another ffmpeg with --ffmpeg.`,
  );
}
