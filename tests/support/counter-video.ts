import { execFileSync } from 'node:child_process';
import { passthroughOf } from '../../src/encode/ffmpeg.js';

/** As src/encode/ffmpeg.ts chooses it. */
const PASSTHROUGH = passthroughOf(execFileSync('ffmpeg', ['-version'], { encoding: 'utf8' }));

/** Of the spheres that these videos show; texels. */
export const WIDTH = 512;
export const HEIGHT = 256;

/** The counter: so many bits, the highest first, each a patch of `PATCH` texels a side round the centre. */
const BITS = 8;
const PATCH = 24;
const LEFT = WIDTH / 2 - (BITS * PATCH) / 2;
const TOP = HEIGHT / 2 - PATCH / 2;

/** Y', Cb, Cr of 8 bits, limited range, and where they lie: patches of 32x32 texels, far from the counter. */
export const COLOURS = [
  { x: 16, codes: [63, 102, 240] },
  { x: 64, codes: [173, 42, 26] },
  { x: 416, codes: [32, 240, 118] },
  { x: 464, codes: [180, 128, 128] },
] as const;
export const COLOUR_SIDE = 32;
export const COLOUR_TOP = HEIGHT / 2 - COLOUR_SIDE / 2;

/** Frame `number` as planar 4:2:0 of `bits` bits. */
function counterFrame(number: number, bits: 8 | 10): Uint8Array {
  const samples = (WIDTH * HEIGHT * 3) / 2;
  const frame = bits === 8 ? new Uint8Array(samples) : new Uint16Array(samples);
  const scale = bits === 8 ? 1 : 4;
  const chroma = WIDTH * HEIGHT;
  frame.fill(100 * scale, 0, chroma);
  frame.fill(128 * scale, chroma);
  const fill = (left: number, top: number, side: number, [y, cb, cr]: readonly number[]) => {
    for (let row = top; row < top + side; row++) {
      frame.fill(y! * scale, row * WIDTH + left, row * WIDTH + left + side);
      if (row % 2 !== 0) continue;
      const at = chroma + ((row / 2) * WIDTH) / 2 + left / 2;
      frame.fill(cb! * scale, at, at + side / 2);
      frame.fill(cr! * scale, at + chroma / 4, at + chroma / 4 + side / 2);
    }
  };
  for (let bit = 0; bit < BITS; bit++) {
    const isSet = (number >> (BITS - 1 - bit)) & 1;
    fill(LEFT + bit * PATCH, TOP, PATCH, [isSet ? 235 : 16, 128, 128]);
  }
  for (const { x, codes } of COLOURS) fill(x, COLOUR_TOP, COLOUR_SIDE, codes);
  return new Uint8Array(frame.buffer);
}

/** The counter in a picture of the sphere; `lumaAt` gives brightness at a place of it, 0 to 1 each way. */
export function readCounter(lumaAt: (u: number, v: number) => number, white: number): number {
  let number = 0;
  for (let bit = 0; bit < BITS; bit++) {
    const u = (LEFT + (bit + 0.5) * PATCH) / WIDTH;
    number = 2 * number + (lumaAt(u, 0.5) > white / 2 ? 1 : 0);
  }
  return number;
}

export interface CounterVideo {
  readonly file: string;
  readonly frames: number;
  readonly bits?: 8 | 10;
  readonly fps?: number;
  /** The time of frame N in milliseconds, as ffmpeg writes expressions; evenly by `fps` by default. */
  readonly times?: string;
  /** Seconds at which a tone of a tenth of a second sounds; silent without. */
  readonly beep?: number;
  /** ffmpeg's options for the pictures. */
  readonly codec?: readonly string[];
  /** ffmpeg's output options besides. */
  readonly more?: readonly string[];
}

/** Lossless, with few key frames, and frames that are stored in another order than they are shown in. */
const H264 = ['-c:v', 'libx264', '-preset', 'ultrafast', '-qp', '0', '-g', '24', '-bf', '2'];

const TAGS = ['-colorspace', 'bt709', '-color_primaries', 'bt709', '-color_trc', 'bt709'];

/** Makes a video of the sphere whose frame N shows N. */
export function makeCounterVideo(video: CounterVideo): string {
  const { file, frames, bits = 8, fps = 30, times, beep, codec = H264, more = [] } = video;
  const input = Buffer.concat(Array.from({ length: frames }, (_, n) => counterFrame(n, bits)));
  const format = bits === 8 ? 'yuv420p' : 'yuv420p10le';
  const length = (frames / fps) * 2;
  execFileSync(
    'ffmpeg',
    [
      ...['-v', 'error', '-y', '-f', 'rawvideo', '-pix_fmt', format, '-s', `${WIDTH}x${HEIGHT}`],
      ...['-framerate', String(fps), '-color_range', 'tv', '-i', 'pipe:0'],
      ...(beep === undefined
        ? []
        : [
            ...['-f', 'lavfi', '-t', String(length), '-i'],
            `aevalsrc=0.8*sin(2*PI*1000*t)*between(t\\,${beep}\\,${beep + 0.1}):s=48000`,
          ]),
      ...(times === undefined ? [] : ['-vf', `settb=1/1000,setpts=${times}`, ...PASSTHROUGH]),
      ...(times === undefined ? [] : ['-enc_time_base', '1/1000']),
      ...[...codec, ...TAGS, '-color_range', 'tv', ...(beep === undefined ? [] : ['-c:a', 'aac'])],
      ...[...more, file],
    ],
    { input, maxBuffer: 2 ** 26 },
  );
  return file;
}
