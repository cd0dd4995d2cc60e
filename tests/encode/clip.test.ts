import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { keepsAlpha } from '../../src/encode/clip.js';
import {
  BARS,
  boxes,
  boxesOf,
  decode,
  ffmpeg,
  folder,
  listing,
  make,
  probe,
  wipe,
} from './support.js';

const BT709_TAGS = {
  pix_fmt: 'yuv420p',
  color_range: 'tv',
  color_space: 'bt709',
  color_primaries: 'bt709',
  color_transfer: 'bt709',
};

describe.each(['.mp4', '.mov'])('a %s clip', (extension) => {
  it('is H.264 as asked for: size, rate, frames, length, pixels, colour, level', async () => {
    const file = join(folder(), `clip${extension}`);
    await make(file, 15);
    expect(probe(file)).toMatchObject({
      codec_name: 'h264',
      profile: 'High',
      level: 31,
      width: 128,
      height: 64,
      r_frame_rate: '30/1',
      avg_frame_rate: '30/1',
      time_base: '1/30000',
      nb_read_frames: '15',
      duration: '0.500000',
      chroma_location: 'left',
      ...BT709_TAGS,
    });
  });

  it('has its index first, its colour in the container, and nothing spherical in it', async () => {
    const file = join(folder(), `clip${extension}`);
    await make(file, 3);
    const order = boxesOf(file);
    expect(order.indexOf('ftyp')).toBe(0);
    expect(order.indexOf('moov')).toBeGreaterThan(0);
    expect(order.indexOf('moov')).toBeLessThan(order.indexOf('mdat'));
    const bytes = readFileSync(file).toString('latin1');
    expect(bytes).toContain('colrncl');
    for (const word of ['sv3d', 'st3d', 'GSpherical', 'rdf:SphericalVideo']) {
      expect(bytes).not.toContain(word);
    }
  });
});

it('the box reader finds boxes by their sizes', () => {
  const bytes = Buffer.concat([
    Buffer.from([0, 0, 0, 8]),
    Buffer.from('free'),
    Buffer.from([0, 0, 0, 1]),
    Buffer.from('mdat'),
    Buffer.from([0, 0, 0, 0, 0, 0, 0, 20, 1, 2, 3, 4]),
    Buffer.from([0, 0, 0, 0]),
    Buffer.from('moov'),
  ]);
  expect(boxes(bytes).map(({ type, end }) => [type, end])).toEqual([
    ['free', 8],
    ['mdat', 28],
    ['moov', 36],
  ]);
});

describe('packed frames', () => {
  it.each(['.mp4', '.mov', '.webm'])(
    'come out of %s within one code, planes unswapped',
    async (extension) => {
      const file = join(folder(), `bars${extension}`);
      const [width, height] = [256, 64];
      await make(file, 4, { width, height });
      const frames = decode(file, 'yuv420p');
      const size = (width * height * 3) / 2;
      expect(frames.length).toBe(4 * size);
      for (let frame = 0; frame < 4; frame++) {
        const plane = (offset: number, stride: number, x: number, y: number) =>
          frames[frame * size + offset + y * stride + x]!;
        BARS.forEach(([luma, cb, cr], bar) => {
          const chroma = width * height;
          const found = [
            plane(0, width, bar * 32 + 16, 31),
            plane(chroma, width / 2, bar * 16 + 8, 15),
            plane(chroma + chroma / 4, width / 2, bar * 16 + 8, 15),
          ];
          [luma, cb, cr].forEach((code, channel) => {
            expect(
              Math.abs(found[channel]! - code),
              `bar ${bar}, channel ${channel}`,
            ).toBeLessThanOrEqual(1);
          });
        });
      }
    },
  );

  it('keep NTSC rates exact', async () => {
    const file = join(folder(), 'ntsc.mp4');
    await make(file, 30, { fps: 29.97, quality: 'draft' });
    expect(probe(file)).toMatchObject({
      r_frame_rate: '30000/1001',
      time_base: '1/30000',
      duration_ts: 30030,
      nb_read_frames: '30',
    });
  });
});

describe('a .webm clip', () => {
  it('is VP9 as asked for', async () => {
    const file = join(folder(), 'clip.webm');
    await make(file, 15);
    expect(probe(file)).toMatchObject({
      codec_name: 'vp9',
      width: 128,
      height: 64,
      r_frame_rate: '30/1',
      nb_read_frames: '15',
      chroma_location: 'left',
      ...BT709_TAGS,
    });
  });

  it('keeps transparent parts and the colour of the others', async () => {
    const file = join(folder(), 'clip.webm');
    await make(file, 4, { alpha: true });
    const first = decode(file, 'yuva420p', '-c:v', 'libvpx-vp9').subarray(0, 128 * 64 * 2.5);
    const alpha = first.subarray(128 * 64 * 1.5);
    expect(alpha[32 * 128]).toBeLessThan(8);
    expect(alpha[32 * 128 + 64]).toBe(255);
    // (20, 60, 200) by BT.709: Y' = 0.2126 R' + 0.7152 G' + 0.0722 B' = 61.6 of 255.
    expect(Math.abs(first[32 * 128 + 64]! - 69)).toBeLessThanOrEqual(1);
  });
});

describe('a .gif clip', () => {
  it('has every frame, loops for ever, and keeps its two colours exactly', async () => {
    const file = join(folder(), 'clip.gif');
    await make(file, 10, { fps: 25 });
    const { width, pageHeight, pages, loop, delay } = await sharp(file, { pages: -1 }).metadata();
    expect({ width, pageHeight, pages, loop }).toEqual({
      width: 128,
      pageHeight: 64,
      pages: 10,
      loop: 0,
    });
    expect(delay).toEqual(Array(10).fill(40));
    const frames = await sharp(file, { pages: -1 }).ensureAlpha().raw().toBuffer();
    for (let index = 0; index < 10; index++) {
      const frame = frames.subarray(index * 128 * 64 * 4, (index + 1) * 128 * 64 * 4);
      expect(frame.equals(wipe(128, 64, index))).toBe(true);
    }
  });

  it.each([
    // Counted by hand: frame n begins at the hundredth nearest to n / fps, the clip ends at the one nearest to its end.
    [1, 30, [3]],
    [2, 15, [7, 6]],
    [4, 24, [4, 4, 5, 4]],
    [9, 30, [3, 4, 3, 3, 4, 3, 3, 4, 3]],
    [4, 30000 / 1001, [3, 4, 3, 3]],
    [10, 60, [2, 2, 2, 2, 2, 2, 2, 3]],
  ])(
    'of %i frames at %d per second lasts as long to the hundredth',
    async (frames, fps, delays) => {
      const file = join(folder(), 'clip.gif');
      await make(file, frames, { fps });
      const { delay } = await sharp(file, { pages: -1 }).metadata();
      expect(delay).toEqual(delays.map((hundredths) => 10 * hundredths));
      // ffprobe tells a packet's duration as the file has it.
      const shown = ['-show_entries', 'packet=duration', '-of', 'csv=p=0', file];
      const probed = execFileSync('ffprobe', ['-v', 'error', ...shown], { encoding: 'utf8' });
      const told = probed.trim().split(/\s+/u).map(Number);
      expect(told).toEqual(delays);
      expect(told.reduce((sum, ticks) => sum + ticks)).toBe(Math.round((100 * frames) / fps));
    },
  );

  it('is shown at 50 frames per second where more were asked for', async () => {
    const file = join(folder(), 'fast.gif');
    await make(file, 12, { fps: 60 });
    const { pages, delay } = await sharp(file, { pages: -1 }).metadata();
    expect(pages).toBe(10);
    expect(new Set(delay)).toEqual(new Set([20]));
  });

  it('keeps transparent parts', async () => {
    const file = join(folder(), 'clear.gif');
    await make(file, 3, { alpha: true });
    const { data } = await sharp(file).ensureAlpha().raw().toBuffer({ resolveWithObject: true });
    expect(data[3]).toBe(0);
    expect(data[64 * 4 + 3]).toBe(255);
  });
});

describe('a .webp clip', () => {
  it('has every frame, loops for ever, lasts as long as asked for', async () => {
    const file = join(folder(), 'clip.webp');
    await make(file, 10);
    const { width, pageHeight, pages, loop, delay } = await sharp(file, {
      pages: -1,
    }).metadata();
    expect({ width, pageHeight, pages, loop }).toEqual({
      width: 128,
      pageHeight: 64,
      pages: 10,
      loop: 0,
    });
    expect(Math.abs(delay!.reduce((sum, ms) => sum + ms) - 333)).toBeLessThanOrEqual(1);
  });

  it('keeps its colours', async () => {
    const file = join(folder(), 'clip.webp');
    await make(file, 10);
    const pixels = await sharp(file, { page: 2 }).ensureAlpha().raw().toBuffer();
    const at = (32 * 128 + 100) * 4;
    [20, 60, 200].forEach((code, channel) => {
      expect(Math.abs(pixels[at + channel]! - code)).toBeLessThanOrEqual(4);
    });
    expect(pixels.every((code, index) => index % 4 !== 3 || code === 255)).toBe(true);
  });

  it('keeps transparent parts', async () => {
    const file = join(folder(), 'clear.webp');
    await make(file, 3, { alpha: true });
    const data = await sharp(file).ensureAlpha().raw().toBuffer();
    expect(data[3]).toBe(0);
    expect(data[64 * 4 + 3]).toBe(255);
  });
});

describe('what a name chooses', () => {
  it.each([
    ['a.mp4', false],
    ['a.webm', true],
    ['a.WEBP', true],
    ['frames/', true],
    ['frames-%05d.png', true],
    ['frames-%05d.jpg', false],
    ['a.avi', false],
  ])('%s keeps transparency: %s', async (name, expected) => {
    expect(await keepsAlpha(join(folder(), name) + (name.endsWith('/') ? '/' : ''))).toBe(expected);
  });

  it('an upper-case extension is as good', async () => {
    const file = join(folder(), 'CLIP.MP4');
    await make(file, 2);
    expect(probe(file).codec_name).toBe('h264');
  });

  it('leaves nothing beside the clip', async () => {
    const place = folder();
    for (const name of ['a.mp4', 'a.webm', 'a.gif', 'a.webp']) await make(join(place, name), 3);
    expect(listing(place)).toEqual(['a.gif', 'a.mp4', 'a.webm', 'a.webp']);
  });

  it('names that begin with a dash or hold a colon or a percent sign are names', async () => {
    const place = folder();
    for (const name of ['-a.mp4', 'b:c.mp4', '100%.mp4', "it's [new].gif"]) {
      await make(join(place, name), 2);
      expect(existsSync(join(place, name))).toBe(true);
    }
  });
});

it('ffmpeg is the one that was probed', () => {
  expect(ffmpeg.version).toMatch(/\d/);
  expect(ffmpeg.encoders.has('libx264')).toBe(true);
  expect(ffmpeg.encoders.has('=')).toBe(false);
  expect(ffmpeg.muxers.has('mp4')).toBe(true);
  expect(ffmpeg.muxers.has('matroska')).toBe(true);
});
