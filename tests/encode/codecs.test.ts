import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { Choice } from '../../src/encode/clip.js';
import { openClip } from '../../src/encode/clip.js';
import { CODEC_NAMES, type CodecName } from '../../src/encode/codecs.js';
import { CONTAINERS } from '../../src/encode/containers.js';
import { bytesPerFrame, type PixelFormat } from '../../src/encode/types.js';
import { toYuv10, yuv10Bytes } from '../../src/encode/yuv10.js';
import { barCodes, bars, decode, ffmpeg, folder, make, probe } from './support.js';

const [WIDTH, HEIGHT, FRAMES] = [256, 64, 3];
const SIZE = { width: WIDTH, height: HEIGHT };
const BT709 = {
  color_range: 'tv',
  color_space: 'bt709',
  color_primaries: 'bt709',
  color_transfer: 'bt709',
};

/** Decoded samples, their planes still one after another. */
function samples(file: string, format: string): Uint8Array | Uint16Array {
  const bytes = decode(file, format);
  return /1[02]le$/.test(format)
    ? new Uint16Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length))
    : bytes;
}

/** The three codes in the middle of each bar of the first frame. */
function codesOf(planes: Uint8Array | Uint16Array, format: string): number[][] {
  const [across, down] = [/444/.test(format) ? 1 : 2, /420/.test(format) ? 2 : 1];
  const [width, height] = [WIDTH / across, HEIGHT / down];
  const chroma = WIDTH * HEIGHT;
  return Array.from({ length: 8 }, (_, bar) => {
    const x = bar * 32 + 16;
    const at = Math.floor(height / 2) * width + Math.floor(x / across);
    return [
      planes[(HEIGHT / 2) * WIDTH + x]!,
      planes[chroma + at]!,
      planes[chroma + width * height + at]!,
    ];
  });
}

interface Case {
  readonly name: string;
  readonly choice: Choice;
  readonly encoder: string;
  /** What ffprobe has to say. */
  readonly says: Record<string, string>;
  /** In codes of the file's own bits. */
  readonly tolerance: number;
}

const row = (
  name: string,
  codec: CodecName,
  encoder: string,
  says: Record<string, string>,
  tolerance = 1,
  choice: Choice = {},
): Case => ({ name, encoder, says, tolerance, choice: { codec, ...choice } });

const CASES: readonly Case[] = [
  row('a.mp4', 'h264', 'libx264', {
    profile: 'High',
    pix_fmt: 'yuv420p',
    codec_tag_string: 'avc1',
  }),
  row('a.mp4', 'hevc', 'libx265', {
    profile: 'Main',
    pix_fmt: 'yuv420p',
    codec_tag_string: 'hvc1',
  }),
  row('a.mov', 'hevc', 'libx265', { profile: 'Main', codec_tag_string: 'hvc1' }),
  row('a.mp4', 'hevc-10', 'libx265', {
    profile: 'Main 10',
    pix_fmt: 'yuv420p10le',
    codec_tag_string: 'hvc1',
  }),
  row('a.mp4', 'av1', 'libsvtav1', {
    codec_name: 'av1',
    pix_fmt: 'yuv420p',
    codec_tag_string: 'av01',
  }),
  row('a.webm', 'av1-10', 'libsvtav1', { codec_name: 'av1', pix_fmt: 'yuv420p10le' }),
  // Half a code of 8 bits, which its quantiser does not see at its usual crf.
  row('a.webm', 'av1-10', 'libaom-av1', { codec_name: 'av1', pix_fmt: 'yuv420p10le' }, 2, {
    encoder: 'libaom-av1',
  }),
  row('a.mov', 'prores-422hq', 'prores_ks', {
    profile: 'HQ',
    pix_fmt: 'yuv422p10le',
    codec_tag_string: 'apch',
  }),
  // ffmpeg decodes 4444 to 12 bits: a code of 10 bits is 4 of these.
  row(
    'a.mov',
    'prores-4444',
    'prores_ks',
    { profile: '4444', pix_fmt: 'yuv444p12le', codec_tag_string: 'ap4h' },
    4,
  ),
  row('a.webm', 'vp9', 'libvpx-vp9', { codec_name: 'vp9', pix_fmt: 'yuv420p' }),
];

describe.each(CASES)('$choice.codec by $encoder in $name', (each) => {
  it.runIf(ffmpeg.encoders.has(each.encoder))(
    'has its tags, frames and length, and every bar at its code',
    async () => {
      const file = join(folder(), each.name);
      await make(file, FRAMES, { ...SIZE, choice: each.choice });
      const facts = probe(file);
      expect(facts).toMatchObject({
        ...SIZE,
        ...BT709,
        ...each.says,
        r_frame_rate: '30/1',
        nb_read_frames: String(FRAMES),
      });
      if (!each.name.endsWith('.webm')) expect(facts.duration).toBe('0.100000');
      const format = String(facts.pix_fmt);
      const bits = Number(/1[02]/.exec(format)?.[0] ?? 8);
      const found = codesOf(samples(file, format), format);
      barCodes(bits).forEach((codes, bar) => {
        codes.forEach((code, channel) => {
          expect(
            Math.abs(found[bar]![channel]! - code),
            `bar ${bar}, channel ${channel}: ${found[bar]![channel]} for ${code}`,
          ).toBeLessThanOrEqual(each.tolerance);
        });
      });
    },
  );
});

it('every codec has its bars above, but for the two loops, which have their own tests', () => {
  const tested = new Set([...CASES.map(({ choice }) => choice.codec), 'gif', 'webp']);
  expect([...tested].sort()).toEqual([...CODEC_NAMES].sort());
  const held = new Set(CONTAINERS.flatMap(({ codecs }) => codecs as readonly string[]));
  expect([...held].sort()).toEqual([...CODEC_NAMES].sort());
});

describe('the ends of a scale are taken', () => {
  it.each([
    ['a.mp4', { encoder: 'libx264', crf: 1, preset: 'ultrafast' }],
    ['a.mp4', { encoder: 'libx264', crf: 51, preset: 'placebo' }],
    ['a.mp4', { codec: 'hevc', crf: 0, preset: 'ultrafast' }],
    ['a.mp4', { codec: 'av1', crf: 1, preset: '12' }],
    ['a.mp4', { codec: 'av1', crf: 63, preset: '11' }],
    ['a.webm', { crf: 0, preset: '8' }],
    ['a.webm', { crf: 63, preset: '0' }],
  ] as const)('%s with %j', async (name, choice) => {
    const file = join(folder(), name);
    await make(file, 2, { ...SIZE, choice });
    expect(probe(file).nb_read_frames).toBe('2');
  });
});

describe('ten bits', () => {
  it('are 64 to 940 and 64 to 960, as BT.709 quantises them', () => {
    const codes = barCodes(10);
    // ITU-R BT.709-6, item 4.6: black 64, white 940, differences 512 in the middle, 64 and 960 at the ends.
    expect([codes[7], codes[0]]).toEqual([
      [64, 512, 512],
      [940, 512, 512],
    ]);
    expect([codes[1]![1], codes[6]![1]]).toEqual([64, 960]);
    expect(bytesPerFrame('yuv420p10le', 4, 2)).toBe(24);
    expect(bytesPerFrame('rgba64le', 4, 2)).toBe(64);
    expect(bars(16, 2, 'yuv420p10le').length).toBe(16 * 2 * 3);
  });

  /** A ramp over the whole range, 876 steps, each column its own. */
  function ramp(format: PixelFormat, width: number, height: number): Uint8Array {
    const frame = new Uint16Array(bytesPerFrame(format, width, height) / 2).fill(512);
    for (let at = 0; at < width * height; at++) {
      const share = (at % width) / (width - 1);
      if (format === 'yuv420p10le') frame[at] = Math.round(64 + 876 * share);
      else
        frame.set(
          [share, share, share, 1].map((part) => Math.round(part * 65535)),
          at * 4,
        );
    }
    return new Uint8Array(frame.buffer);
  }

  it.each([
    ['hevc-10', 'a.mp4', 'yuv420p10le'],
    ['av1-10', 'a.mp4', 'yuv420p10le'],
    ['prores-422hq', 'a.mov', 'yuv422p10le'],
  ] as const)('of %s keep more than 800 levels of a gradient', async (codec, name, format) => {
    const file = join(folder(), name);
    const [width, height] = [1024, 64];
    const clip = await openClip({
      ...{ file, width, height, fps: 30, overwrite: false, ffmpeg, quality: 'final' },
      choice: { codec },
    });
    await clip.write(ramp(clip.pixelFormat, width, height));
    await clip.finish();
    const row = samples(file, format).subarray(32 * width, 33 * width);
    expect(new Set(row).size).toBeGreaterThan(800);
    // An eight-bit one has 220 at most, so this counts what it should.
    expect(new Set(Array.from(row, (code) => code >> 2)).size).toBeLessThanOrEqual(256);
  });
});

describe('detail', () => {
  // Its own rate control leaves ffmpeg's ProRes encoder at 46 dB here.
  it('and grain stay in ProRes 422 HQ: more than 52 dB', async () => {
    const file = join(folder(), 'a.mov');
    const frame = new Uint16Array(WIDTH * HEIGHT * 4);
    let seed = 1;
    for (let at = 0; at < WIDTH * HEIGHT; at++) {
      // Numerical Recipes' generator: the same noise every time.
      seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
      const [x, y] = [at % WIDTH, Math.floor(at / WIDTH)];
      // A zone plate: every frequency up to the finest.
      const plate = 0.5 + 0.4 * Math.cos((Math.PI * ((x - 128) ** 2 + (y - 32) ** 2)) / WIDTH);
      const share = 0.8 * plate + 0.15 * (seed / 2 ** 32);
      frame.set(
        [share, share, share, 1].map((part) => Math.round(part * 65535)),
        at * 4,
      );
    }
    const bytes = new Uint8Array(frame.buffer);
    const clip = await openClip({
      ...{ ...SIZE, file, fps: 30, overwrite: false, ffmpeg, quality: 'final' },
      choice: { codec: 'prores-422hq' },
    });
    await clip.write(bytes);
    await clip.finish();
    const planes = new Uint8Array(yuv10Bytes('yuv422p10le', WIDTH, HEIGHT));
    toYuv10(bytes, WIDTH, HEIGHT, 'yuv422p10le', planes);
    const wanted = new Uint16Array(planes.buffer);
    const found = samples(file, 'yuv422p10le');
    let sum = 0;
    for (let at = 0; at < WIDTH * HEIGHT; at++) sum += (found[at]! - wanted[at]!) ** 2;
    const decibels = 10 * Math.log10(1023 ** 2 / (sum / (WIDTH * HEIGHT)));
    expect(decibels).toBeGreaterThan(52);
  });
});

describe('transparency', () => {
  it('goes through ProRes 4444 with its steps, the colour beside it untouched', async () => {
    const file = join(folder(), 'a.mov');
    const clip = await openClip({
      ...{ ...SIZE, file, fps: 30, overwrite: false, ffmpeg, quality: 'final', alpha: true },
      choice: { codec: 'prores-4444' },
    });
    expect(clip.pixelFormat).toBe('rgba64le');
    const frame = new Uint16Array(WIDTH * HEIGHT * 4);
    for (let at = 0; at < WIDTH * HEIGHT; at++) {
      frame.set([65535, 0, 0, Math.round(((at % WIDTH) / (WIDTH - 1)) * 65535)], at * 4);
    }
    await clip.write(new Uint8Array(frame.buffer));
    await clip.finish();
    expect(probe(file)).toMatchObject({ profile: '4444', pix_fmt: 'yuva444p12le', ...BT709 });
    const planes = samples(file, 'yuva444p12le');
    const alpha = planes.subarray(3 * WIDTH * HEIGHT);
    for (const x of [0, 1, 64, 128, 254, 255]) {
      // Ten bits go in, so it may be off by half a code of these, 2 of 12 bits.
      expect(Math.abs(alpha[32 * WIDTH + x]! - (x / 255) * 4095), `column ${x}`).toBeLessThan(4);
    }
    // Red at 100 % by BT.709: 63, 102, 240 in 8 bits; 12 bits are 16 times that.
    expect(Math.abs(planes[32 * WIDTH + 128]! - (219 * 0.2126 + 16) * 16)).toBeLessThanOrEqual(4);
  });

  it('is left out of ProRes 4444 where none is wanted', async () => {
    const file = join(folder(), 'a.mov');
    await make(file, 1, { ...SIZE, choice: { codec: 'prores-4444' } });
    expect(probe(file).pix_fmt).toBe('yuv444p12le');
  });
});
