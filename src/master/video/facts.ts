import { findFfmpeg } from '../../encode/ffmpeg.js';
import { type Probed, type ProbedStream, probeFile, Unreadable } from '../../encode/ffprobe.js';
import { InputError } from '../../errors.js';
import { smallness } from '../sphere.js';
import { colourOf, hdrName } from './colour.js';
import { layoutFor } from './layout.js';
import { isOnItsSide, turnedInWords } from './turned.js';
import type { VideoFacts } from './types.js';

/** How far from 2:1 a whole sphere may be through rounding. */
const ASPECT_TOLERANCE = 0.005;

/** Rates nearer than this are one. */
const SAME_RATE = 0.001;

type Wrong = (message: string) => InputError;

/**
 * What is in a video that is to be a master.
 *
 * @throws InputError when it is damaged, no whole sphere, encrypted or HDR; WorkError without ffprobe
 */
export async function readVideoFacts(file: string, ffmpeg?: string): Promise<VideoFacts> {
  const wrong: Wrong = (message) => new InputError([{ place: file, path: '', message }]);
  const found = await findFfmpeg(ffmpeg);
  const probed = await probeFile(file, found.path).catch((error: unknown) => {
    if (!(error instanceof Unreadable)) throw error;
    throw wrong(
      `expected a video, but ffprobe cannot read it (${error.message}): the file is damaged or was not copied whole; copy it again from its source`,
    );
  });
  const stream = mainStream(probed, wrong);
  expectPlain(stream, wrong);
  const { width, height } = displayed(stream);
  const stored = { width: stream.width ?? 0, height: stream.height ?? 0 };
  const turned = isOnItsSide(stored, { width, height }) && turnedInWords(file, stored, found);
  expectSphere(width, height, turned, wrong);
  const { layout, converted } = layoutFor(stream.pix_fmt ?? '');
  const start = secondsOf(stream.start_time) ?? secondsOf(probed.format?.start_time) ?? 0;
  const sound = probed.streams?.find(({ codec_type }) => codec_type === 'audio');
  return {
    file,
    width,
    height,
    codec: stream.codec_name ?? 'unknown',
    ...rateOf(stream),
    duration: durationOf(stream, probed, start, wrong),
    index: stream.index,
    start,
    clockStart: secondsOf(probed.format?.start_time) ?? start,
    tick: ratio(stream.time_base) || 0.001,
    layout,
    converted,
    colour: colourOf(stream, converted),
    ...(sound?.codec_name === undefined
      ? {}
      : { sound: { codec: sound.codec_name, channels: sound.channels ?? 2 } }),
  };
}

/** The largest picture that moves. */
function mainStream({ streams = [] }: Probed, wrong: Wrong): ProbedStream {
  const moving = streams.filter(
    ({ codec_type, disposition }) => codec_type === 'video' && disposition?.attached_pic !== 1,
  );
  const area = ({ width = 0, height = 0 }: ProbedStream) => width * height;
  const [main] = moving.toSorted((a, b) => area(b) - area(a));
  if (main !== undefined) return main;
  const kinds = [...new Set(streams.map(({ codec_type }) => codec_type))].join(', ');
  throw wrong(`expected a video, found a file without moving pictures (${kinds || 'nothing'})`);
}

function expectPlain(stream: ProbedStream, wrong: Wrong): void {
  if (stream.codec_tag_string === 'encv') {
    throw wrong('its frames are encrypted: export it again without copy protection');
  }
  if (stream.codec_name === undefined || stream.codec_name === 'unknown') {
    const tag = stream.codec_tag_string ?? '';
    throw wrong(`its frames are in a codec (${tag}) that this ffmpeg does not know: re-encode it`);
  }
  if (stream.pix_fmt === undefined || !stream.width || !stream.height) {
    throw wrong('none of its frames can be decoded: the file is damaged or was not copied whole');
  }
  const hdr = hdrName(stream);
  if (hdr !== undefined) {
    throw wrong(
      `is HDR video (${hdr}), which would come out pale: convert it to BT.709 first, in an editor or with ffmpeg's filters zscale and tonemap`,
    );
  }
}

function displayed({ width = 0, height = 0, side_data_list = [] }: ProbedStream) {
  const rotation = side_data_list.find((data) => data.rotation !== undefined)?.rotation ?? 0;
  return Math.abs(rotation) % 180 === 90 ? { width: height, height: width } : { width, height };
}

function expectSphere(width: number, height: number, turned: string | false, wrong: Wrong): void {
  const small = smallness({ width, height });
  if (small !== undefined) throw wrong(small);
  if (Math.abs(width / height - 2) <= 2 * ASPECT_TOLERANCE) return;
  const expected = 'expected a video of the whole sphere, twice as wide as high, found';
  if (turned) throw wrong(`${expected} ${turned}`);
  const stereo = Math.abs(width / height - 1) <= ASPECT_TOLERANCE || width / height > 3.9;
  const hint = stereo
    ? 'if it is stereoscopic, crop it to one eye first'
    : 'export it as a whole equirectangular sphere';
  throw wrong(`${expected} ${width}x${height}: ${hint}`);
}

function rateOf({ avg_frame_rate, r_frame_rate }: ProbedStream) {
  const mean = ratio(avg_frame_rate) || ratio(r_frame_rate) || 30;
  const base = ratio(r_frame_rate) || mean;
  return { fps: mean, variable: Math.abs(mean - base) > SAME_RATE * mean };
}

function durationOf(stream: ProbedStream, { format }: Probed, start: number, wrong: Wrong): number {
  const own = secondsOf(stream.duration);
  const whole = secondsOf(format?.duration);
  const clockStart = secondsOf(format?.start_time) ?? start;
  const seconds = own ?? (whole === undefined ? undefined : whole - (start - clockStart));
  if (seconds !== undefined && seconds > 0) return seconds;
  throw wrong('does not say how long it is: re-wrap it with ffmpeg -c copy');
}

function secondsOf(text: string | undefined): number | undefined {
  const seconds = Number(text);
  return text === undefined || !Number.isFinite(seconds) ? undefined : seconds;
}

/** `30000/1001`; 0 for what is none. */
function ratio(text = ''): number {
  const [numerator = 0, denominator = 0] = text.split('/').map(Number);
  return denominator > 0 && numerator > 0 ? numerator / denominator : 0;
}
