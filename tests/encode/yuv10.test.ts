import { execFileSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { toYuv10, type Yuv10Format, yuv10Bytes } from '../../src/encode/yuv10.js';
import { ffmpeg } from './support.js';

const [WIDTH, HEIGHT] = [64, 16];
const PIXELS = WIDTH * HEIGHT;

/** Smooth in each colour, so that how chroma is filtered makes little difference; every run the same. */
function picture(): Uint8Array {
  const frame = new Uint16Array(PIXELS * 4);
  for (let at = 0; at < PIXELS; at++) {
    const [x, y] = [(at % WIDTH) / (WIDTH - 1), Math.floor(at / WIDTH) / (HEIGHT - 1)];
    frame.set(
      [x, y, 1 - x, x * y].map((share) => Math.round(share * 65535)),
      at * 4,
    );
  }
  return new Uint8Array(frame.buffer);
}

function ours(format: Yuv10Format, frame = picture()): Uint16Array {
  const planes = new Uint8Array(yuv10Bytes(format, WIDTH, HEIGHT));
  toYuv10(frame, WIDTH, HEIGHT, format, planes);
  return new Uint16Array(planes.buffer);
}

const hasZimg = execFileSync(ffmpeg.path, ['-hide_banner', '-filters'], {
  encoding: 'utf8',
}).includes(' zscale ');

/** zimg, a library of its own behind ffmpeg's zscale. */
function zimg(format: string): Uint16Array {
  const size = ['-video_size', `${WIDTH}x${HEIGHT}`];
  const filter = `zscale=matrix=709:range=limited:chromal=left,format=${format}`;
  const bytes = execFileSync(
    ffmpeg.path,
    [
      ...['-v', 'error', '-f', 'rawvideo', '-pixel_format', 'rgba64le', ...size, '-i', 'pipe:0'],
      ...['-vf', filter, '-f', 'rawvideo', '-'],
    ],
    { input: picture() },
  );
  return new Uint16Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length));
}

describe('rgba64le as 10-bit Y′CbCr', () => {
  it.each([
    // ITU-R BT.709-6, item 4.6: white 940, black 64, achromatic 512.
    [
      [65535, 65535, 65535],
      [940, 512, 512],
    ],
    [
      [0, 0, 0],
      [64, 512, 512],
    ],
    // Item 3.2, computed: blue 0.0722 * 876 + 64 = 127.2, 512 + 448 = 960, 512 - 0.0722 / 1.5748 * 896 = 470.9.
    [
      [0, 0, 65535],
      [127, 960, 471],
    ],
    [
      [65535, 0, 0],
      [250, 409, 960],
    ],
  ])('%j is %j', (colour, codes) => {
    const frame = new Uint16Array(PIXELS * 4);
    for (let at = 0; at < PIXELS; at++) frame.set([...colour, 32768], at * 4);
    const planes = ours('yuva444p10le', new Uint8Array(frame.buffer));
    expect([0, 1, 2, 3].map((plane) => planes[plane * PIXELS + 100])).toEqual([...codes, 512]);
    const halved = ours('yuv422p10le', new Uint8Array(frame.buffer));
    expect([halved[100], halved[PIXELS + 50], halved[PIXELS * 1.5 + 50]]).toEqual(codes);
  });

  it.runIf(hasZimg)('4:4:4 equals zimg to one code', () => {
    const [mine, theirs] = [ours('yuv444p10le'), zimg('yuv444p10le')];
    expect(mine.length).toBe(theirs.length);
    const worst = Math.max(...mine.map((code, at) => Math.abs(code - theirs[at]!)).values());
    expect(worst).toBeLessThanOrEqual(1);
  });

  it.runIf(hasZimg)('4:2:2 is sited as zimg has it, on the left one of two pixels', () => {
    const [mine, theirs] = [ours('yuv422p10le'), zimg('yuv422p10le')];
    expect(mine.length).toBe(theirs.length);
    for (let at = PIXELS; at < mine.length; at++) {
      // The two ends of a row are their own business: each has other pixels beyond the edge.
      const column = at % (WIDTH / 2);
      if (column > 1 && column < WIDTH / 2 - 2) {
        expect(Math.abs(mine[at]! - theirs[at]!), `sample ${at}`).toBeLessThanOrEqual(1);
      }
    }
    // Half a pixel to the right would be 4 codes off on this ramp: 0.6146 * 896 / 63 / 2.
  });
});
