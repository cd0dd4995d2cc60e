import { execFile, spawn } from 'node:child_process';
import { once } from 'node:events';
import { resolve } from 'node:path';
import { decodeSrgb } from '../../colour.js';
import { findFfmpeg } from '../../encode/ffmpeg.js';
import type { Samples } from '../pixels.js';
import { holdsAllChunks } from './exrChunks.js';
import { LightCanvas } from './light.js';
import { wholeRows } from './rows.js';
import type { DecodeOptions, Rgb, Source, Wrong } from './types.js';

/** ffmpeg's planes of a float picture, as channels of RGB; one plane alone is grey. */
const CHANNELS: Readonly<Record<string, readonly number[]>> = {
  grayf32le: [0],
  gbrpf32le: [1, 2, 0],
  gbrapf32le: [1, 2, 0, 3],
};
const ALPHA = 3;

interface Found {
  readonly width: number;
  readonly height: number;
  /** ffmpeg's name of the picture's own layout, or the one it is converted to. */
  readonly layout: string;
}

/**
 * OpenEXR, by ffmpeg: linear light with BT.709's primaries, alpha multiplied in.
 *
 * @throws InputError when it is none; WorkError without ffmpeg
 */
export async function readExr(
  file: string,
  ffmpeg: string | undefined,
  wrong: Wrong,
): Promise<Source> {
  const { path } = await findFfmpeg(ffmpeg);
  const input = ['-f', 'exr_pipe', '-i', `file:${resolve(file)}`];
  const found = await probe(path, input, wrong);
  return {
    header: found,
    rows(options) {
      const { width, height } = found;
      const decoding = expectChunks(file, wrong).then(() =>
        decode(path, input, found, options, wrong),
      );
      return wholeRows(width, height, options.keepDepth ? 16 : 8, decoding);
    },
  };
}

async function expectChunks(file: string, wrong: Wrong): Promise<void> {
  if (!(await holdsAllChunks(file))) throw notWhole(wrong, 'it ends early');
}

const notWhole = (wrong: Wrong, reason: string) =>
  wrong(
    `expected a whole picture, but it could not be decoded (${reason}): export it again from the original`,
  );

async function probe(path: string, input: readonly string[], wrong: Wrong): Promise<Found> {
  // Without an output ffmpeg tells what it found, and fails.
  const words = await new Promise<string>((done) => {
    execFile(path, ['-hide_banner', ...input], (_error, _out, err) => done(err));
  });
  const found = /Video: exr\b.*?, (\w+)(?:\([^)]*\))?, (\d+)x(\d+)/.exec(words);
  if (found === null) {
    const reason = words.trim().split('\n').at(-1) ?? '';
    throw wrong(
      `expected an OpenEXR picture that ffmpeg can read, found something else (${reason})`,
    );
  }
  const [, own = '', width, height] = found;
  return {
    width: Number(width),
    height: Number(height),
    layout: own in CHANNELS ? own : 'gbrapf32le',
  };
}

async function decode(
  path: string,
  input: readonly string[],
  { width, height, layout }: Found,
  { keepDepth, background }: DecodeOptions,
  wrong: Wrong,
): Promise<Samples> {
  const count = width * height;
  const channels = CHANNELS[layout]!;
  const canvas = new LightCanvas(count, keepDepth ? 16 : 8);
  const alpha = channels.includes(ALPHA) ? new Float32Array(count) : undefined;
  const format = ['-frames:v', '1', '-f', 'rawvideo', '-pix_fmt', layout, '-'];
  const child = spawn(path, ['-v', 'error', '-xerror', ...input, ...format], {
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let words = '';
  child.stderr.on('data', (chunk) => {
    words = (words + String(chunk)).slice(-2000);
  });
  const ended = once(child, 'close');
  let index = 0;
  for await (const floats of floatChunks(child.stdout)) {
    for (const light of floats) {
      const channel = channels[Math.floor(index / count)];
      const pixel = index++ % count;
      if (channel === undefined) continue;
      if (channel === ALPHA) alpha![pixel] = light;
      else canvas.set(pixel, channel, light);
    }
  }
  const [status] = (await ended) as [number | null];
  if (status !== 0 || index !== count * channels.length || words !== '') {
    throw notWhole(wrong, words.trim().split('\n').at(-1) || 'it ends early');
  }
  if (channels.length === 1) spreadGrey(canvas, count);
  if (alpha !== undefined) addBehind(canvas, alpha, background);
  return canvas.data;
}

/** A stream's floats; its chunks may end within one. */
async function* floatChunks(stream: AsyncIterable<Buffer>): AsyncIterable<Float32Array> {
  let rest = Buffer.alloc(0);
  for await (const chunk of stream) {
    const bytes = Buffer.concat([rest, chunk]);
    const whole = bytes.length - (bytes.length % 4);
    rest = bytes.subarray(whole);
    // A copy, since a view must begin at a multiple of 4.
    yield new Float32Array(new Uint8Array(bytes.subarray(0, whole)).buffer);
  }
}

function spreadGrey({ data }: LightCanvas, count: number): void {
  for (let i = 0; i < count; i++) data.fill(data[i * 3]!, i * 3, i * 3 + 3);
}

/** Adds the background's light where the picture lets it through. */
function addBehind(canvas: LightCanvas, alpha: Float32Array, background: Rgb): void {
  const most = canvas.data instanceof Uint16Array ? 65535 : 255;
  const light = background.map((value) => decodeSrgb(value / 255));
  for (const [pixel, share] of alpha.entries()) {
    if (share >= 1) continue;
    for (let c = 0; c < 3; c++) {
      const own = decodeSrgb(canvas.data[pixel * 3 + c]! / most);
      canvas.set(pixel, c, own + (1 - Math.max(0, share)) * light[c]!);
    }
  }
}
