import type { Codec } from './codecs.js';
import type { Encoder } from './encoders/types.js';
import type { Ffmpeg } from './ffmpeg.js';
import { rawInput, videoTags } from './input.js';
import { startFfmpeg } from './process.js';
import { bytesPerFrame, type Quality } from './types.js';

/** Above the smallest frames that chips take, and a whole number of any block. */
const SIDE = 256;
const FRAMES = 4;
/** A driver that does not answer is no driver. */
const PATIENCE_IN_MS = 10_000;

export interface Trial {
  readonly works: boolean;
  /** Why not, in ffmpeg's words. */
  readonly reason: string;
}

const tried = new Map<string, Promise<Trial>>();

/**
 * Whether a hardware encoder works here: ffmpeg lists those that it was built with, whatever the machine.
 * So it has to encode a few grey frames with the very options that a clip would use; once per process.
 */
export function tryEncoder(
  ffmpeg: Ffmpeg,
  encoder: Encoder,
  codec: Codec,
  quality: Quality,
): Promise<Trial> {
  const key = [ffmpeg.path, encoder.name, codec.bits, quality].join('\n');
  const known = tried.get(key) ?? attempt(ffmpeg, encoder, codec, quality);
  tried.set(key, known);
  return known;
}

async function attempt(
  ffmpeg: Ffmpeg,
  encoder: Encoder,
  codec: Codec,
  quality: Quality,
): Promise<Trial> {
  if (!ffmpeg.encoders.has(encoder.name)) return { works: false, reason: 'not built in' };
  const rate = { numerator: 30, denominator: 1 };
  const format = codec.pixelFormat(false);
  const options = encoder.options({
    width: SIDE,
    height: SIDE,
    rate,
    quality,
    alpha: false,
    crf: encoder.crf?.usual ?? 0,
    preset: encoder.presets?.usual[quality] ?? '',
  });
  const run = startFfmpeg(
    ffmpeg.path,
    [
      ...(encoder.before ?? []),
      ...rawInput(format, SIDE, SIDE, rate),
      ...['-an', '-c:v', encoder.name, ...options, ...videoTags, '-f', 'null', '-'],
    ],
    encoder.name,
  );
  const timer = setTimeout(() => void run.kill(), PATIENCE_IN_MS);
  try {
    const grey = new Uint8Array(bytesPerFrame(format, SIDE, SIDE)).fill(codec.bits > 8 ? 0 : 128);
    for (let frame = 0; frame < FRAMES; frame++) await run.write(grey);
    await run.finish();
    return { works: true, reason: '' };
  } catch (error) {
    return { works: false, reason: firstWords((error as Error).message) };
  } finally {
    clearTimeout(timer);
  }
}

/** Of a failed run's message, ffmpeg's first line, without the part of it that spoke. */
function firstWords(message: string): string {
  const [how = '', said = how] = message.split('\n');
  return said.trim().replace(/^\[[^\]]*\]\s*/, '');
}
