import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { bytesPerFrame, type PixelFormat } from '../../src/encode/types.js';
import { createBlender } from '../../src/overlay/blend.js';
import type { PlacedRaster } from '../../src/overlay/types.js';

const [WIDTH, HEIGHT] = [64, 48];

/** Smooth, coloured, with every alpha; no two channels alike. */
function raster(width: number, height: number, left: number, top: number): PlacedRaster {
  const rgba = new Uint8Array(width * height * 4);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const at = 4 * (y * width + x);
      rgba[at] = 255 - 6 * x;
      rgba[at + 1] = 40 + 5 * y;
      rgba[at + 2] = 90 + 3 * x;
      rgba[at + 3] = Math.round(255 * Math.sin((Math.PI * (x + 0.5)) / width));
    }
  }
  return { rgba, width, height, left, top };
}

const filled = (format: PixelFormat, code: (index: number) => number) => {
  const bytes = new Uint8Array(bytesPerFrame(format, WIDTH, HEIGHT));
  const deep = format === 'rgba64le' || format === 'yuv420p10le';
  const samples = deep ? new Uint16Array(bytes.buffer) : bytes;
  for (let i = 0; i < samples.length; i++) samples[i] = code(i);
  return { bytes, samples };
};

describe('overlays', () => {
  it('lie over opaque pixels as libvips puts them', async () => {
    const mark = raster(30, 20, 11, 7);
    const { bytes } = filled('rgba', (i) => (i % 4 === 3 ? 255 : (i * 7) % 251));
    const before = Buffer.from(bytes);
    createBlender(mark, { format: 'rgba', width: WIDTH, height: HEIGHT }).over(bytes, 1);
    const { width, height, left, top } = mark;
    const input = { input: Buffer.from(mark.rgba), raw: { width, height, channels: 4 as const } };
    const expected = await sharp(before, { raw: { width: WIDTH, height: HEIGHT, channels: 4 } })
      .composite([{ ...input, left, top }])
      .raw()
      .toBuffer();
    expect(furthest(bytes, expected)).toBeLessThanOrEqual(1);
  });

  it('lie over transparent pixels by over: nothing below leaves the mark as it is', () => {
    const mark = raster(30, 20, 10, 8);
    const { bytes } = filled('rgba', () => 0);
    createBlender(mark, { format: 'rgba', width: WIDTH, height: HEIGHT }).over(bytes, 1);
    for (let y = 0; y < 20; y++) {
      for (let x = 0; x < 30; x++) {
        const [at, from] = [4 * ((y + 8) * WIDTH + x + 10), 4 * (y * 30 + x)];
        for (let c = 0; c < 4; c++) {
          if (mark.rgba[from + 3]! > 3)
            expect(bytes[at + c]).toBeCloseTo(mark.rgba[from + c]!, -0.3);
        }
      }
    }
  });

  it('are the same in 16 bits', () => {
    const mark = raster(30, 20, 11, 7);
    const eight = filled('rgba', (i) => (i % 4 === 3 ? 255 : (i * 7) % 251));
    const sixteen = filled('rgba64le', (i) => (i % 4 === 3 ? 65535 : 257 * ((i * 7) % 251)));
    for (const [format, { bytes }] of [
      ['rgba', eight],
      ['rgba64le', sixteen],
    ] as const) {
      createBlender(mark, { format, width: WIDTH, height: HEIGHT }).over(bytes, 0.7);
    }
    const down = Uint8Array.from(sixteen.samples, (value) => Math.round(value / 257));
    expect(furthest(eight.bytes, down)).toBeLessThanOrEqual(1);
  });

  it.each([
    ['inside', 10, 8],
    ['on odd pixels', 11, 7],
    ['over the edges', -5, 40],
    ['over the right edge', 50, -9],
  ])('lie over planes as ffmpeg’s overlay filter puts them, %s', (_, left, top) => {
    const mark = raster(30, 20, left, top);
    const { bytes } = filled('yuv420p', underneath);
    const expected = overlayByFfmpeg(bytes, mark);
    createBlender(mark, { format: 'yuv420p', width: WIDTH, height: HEIGHT }).over(bytes, 1);
    const luma = WIDTH * HEIGHT;
    expect(furthest(bytes.subarray(0, luma), expected.subarray(0, luma))).toBeLessThanOrEqual(2);
    // ffmpeg takes the chroma of the overlay from another place of the four pixels.
    expect(rms(bytes.subarray(luma), expected.subarray(luma))).toBeLessThanOrEqual(2.5);
  });

  it('are in 10 bits four times what they are in 8', () => {
    const mark = raster(30, 20, 11, 7);
    const eight = filled('yuv420p', (i) => 60 + (i % 100));
    const ten = filled('yuv420p10le', (i) => 4 * (60 + (i % 100)));
    for (const [format, { bytes }] of [
      ['yuv420p', eight],
      ['yuv420p10le', ten],
    ] as const) {
      createBlender(mark, { format, width: WIDTH, height: HEIGHT }).over(bytes, 0.5);
    }
    const down = Uint8Array.from(ten.samples, (value) => Math.round(value / 4));
    expect(furthest(eight.bytes, down)).toBeLessThanOrEqual(1);
  });

  it('of white are white in limited range, chroma of a single colour has no fringe', () => {
    const rgba = new Uint8Array(20 * 10 * 4).fill(255);
    const mark = { rgba, width: 20, height: 10, left: 0, top: 0 };
    const { bytes } = filled('yuv420p', (i) => (i < WIDTH * HEIGHT ? 16 : 128));
    createBlender(mark, { format: 'yuv420p', width: WIDTH, height: HEIGHT }).over(bytes, 1);
    expect(bytes[0]).toBe(235);
    expect(bytes[19]).toBe(235);
    expect(bytes[20]).toBe(16);
    expect(new Set(bytes.subarray(WIDTH * HEIGHT))).toEqual(new Set([128]));
  });

  it('change nothing where they are not, or show nothing', () => {
    for (const [mark, opacity] of [
      [raster(30, 20, 200, 0), 1],
      [raster(30, 20, -30, 0), 1],
      [raster(30, 20, 10, 10), 0],
    ] as const) {
      for (const format of ['rgba', 'rgba64le', 'yuv420p', 'yuv420p10le'] as const) {
        const { bytes } = filled(format, (i) => i % 200);
        const before = Uint8Array.from(bytes);
        createBlender(mark, { format, width: WIDTH, height: HEIGHT }).over(bytes, opacity);
        expect(furthest(bytes, before)).toBe(0);
      }
    }
  });
});

/** Even chroma, which stays the same when ffmpeg enlarges and reduces it. */
function underneath(i: number): number {
  const luma = WIDTH * HEIGHT;
  if (i < luma) return 40 + (i % 150);
  return i < 1.25 * luma ? 110 : 150;
}

function overlayByFfmpeg(frame: Uint8Array, mark: PlacedRaster): Uint8Array {
  const folder = mkdtempSync(path.join(tmpdir(), 'orbreel-overlay-'));
  const [under, over, out] = ['under', 'over', 'out'].map((name) => path.join(folder, name)) as [
    string,
    string,
    string,
  ];
  try {
    writeFileSync(under, frame);
    writeFileSync(over, mark.rgba);
    const raw = (format: string, width: number, height: number) =>
      `-f rawvideo -pix_fmt ${format} -video_size ${width}x${height}`.split(' ');
    const matrix = 'scale=in_range=pc:out_range=tv:out_color_matrix=bt709:flags=accurate_rnd';
    execFileSync('ffmpeg', [
      ...['-v', 'error', ...raw('yuv420p', WIDTH, HEIGHT), '-i', under],
      ...[...raw('rgba', mark.width, mark.height), '-i', over],
      '-filter_complex',
      `[1]${matrix},format=yuva444p[o];[0]format=yuv444p[u];[u][o]overlay=${mark.left}:${mark.top}:format=yuv444,format=yuv420p`,
      ...['-f', 'rawvideo', '-pix_fmt', 'yuv420p', out],
    ]);
    return readFileSync(out);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

const furthest = (a: ArrayLike<number>, b: ArrayLike<number>): number =>
  Math.max(...Array.from(a, (value, index) => Math.abs(value - b[index]!)));

const rms = (a: ArrayLike<number>, b: ArrayLike<number>): number =>
  Math.sqrt(
    Array.from(a, (value, index) => (value - b[index]!) ** 2).reduce((x, y) => x + y, 0) / a.length,
  );
