import { execFileSync } from 'node:child_process';
import { chmodSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { onTestFinished } from 'vitest';
import type { ClipOptions } from '../../src/encode/clip.js';
import { openClip } from '../../src/encode/clip.js';
import { type Ffmpeg, findFfmpeg } from '../../src/encode/ffmpeg.js';
import type { PixelFormat } from '../../src/encode/types.js';

export const ffmpeg: Ffmpeg = await findFfmpeg();

export function folder(): string {
  const path = mkdtempSync(join(tmpdir(), 'orbreel-'));
  onTestFinished(() => rmSync(path, { recursive: true, force: true }));
  return path;
}

/** Everything in a folder, hidden files too. */
export const listing = (path: string): string[] => readdirSync(path).sort();

/**
 * BT.709 bars at 100 % in 8-bit limited range, Y', Cb, Cr: white, yellow, cyan, green, magenta, red, blue,
 * black. From ITU-R BT.709's Y' = 0.2126 R' + 0.7152 G' + 0.0722 B', quantised as 219 Y' + 16, 224 C' + 128;
 * the same numbers come out of ffmpeg's own conversion of RGB bars.
 */
export const BARS = [
  [235, 128, 128],
  [219, 16, 138],
  [188, 154, 16],
  [173, 42, 26],
  [78, 214, 230],
  [63, 102, 240],
  [32, 240, 118],
  [16, 128, 128],
] as const;

const RGB_BARS = [7, 6, 3, 2, 5, 4, 1, 0].map((bits) => [
  (bits >> 2) & 1,
  (bits >> 1) & 1,
  bits & 1,
]);

/**
 * Y', Cb, Cr of the bars at that many bits, from ITU-R BT.709-6 (items 3.2 and 4.6): the 8-bit formulas times
 * 2^(bits - 8), rounded.
 */
export const barCodes = (bits: number): number[][] =>
  RGB_BARS.map(([red = 0, green = 0, blue = 0]) => {
    const luma = 0.2126 * red + 0.7152 * green + 0.0722 * blue;
    const scale = 2 ** (bits - 8);
    return [
      (219 * luma + 16) * scale,
      ((224 * (blue - luma)) / 1.8556 + 128) * scale,
      ((224 * (red - luma)) / 1.5748 + 128) * scale,
    ].map(Math.round);
  });

/** The bars as one frame of any of our formats; sides in pixels, the width a multiple of 16. */
export function bars(width: number, height: number, format: PixelFormat = 'yuv420p'): Uint8Array {
  if (format === 'rgba' || format === 'rgba64le') return rgbBars(width, height, format);
  const ten = format === 'yuv420p10le';
  const codes = ten ? barCodes(10) : BARS;
  const samples = (width * height * 3) / 2;
  const frame = ten ? new Uint16Array(samples) : new Uint8Array(samples);
  const chroma = width * height;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const bar = codes[Math.floor((x * 8) / width)]!;
      frame[y * width + x] = bar[0]!;
      const at = (y >> 1) * (width >> 1) + (x >> 1);
      frame[chroma + at] = bar[1]!;
      frame[chroma + chroma / 4 + at] = bar[2]!;
    }
  }
  return new Uint8Array(frame.buffer);
}

function rgbBars(width: number, height: number, format: 'rgba' | 'rgba64le'): Uint8Array {
  const most = format === 'rgba' ? 255 : 65535;
  const row = Array.from({ length: width }, (_, x) => [
    ...RGB_BARS[Math.floor((x * 8) / width)]!,
    1,
  ]);
  const samples = row.flat().map((share) => share * most);
  const frame = format === 'rgba' ? Uint8Array.from(samples) : Uint16Array.from(samples);
  const bytes = new Uint8Array(frame.buffer);
  return Uint8Array.from({ length: bytes.length * height }, (_, at) => bytes[at % bytes.length]!);
}

/** An RGBA frame of two colours, the border moving right with `index`; `alpha` on the left part. */
export function wipe(width: number, height: number, index: number, alpha = 255): Uint8Array {
  const frame = new Uint8Array(width * height * 4);
  for (let at = 0; at < width * height; at++) {
    frame.set(at % width <= index * 4 ? [220, 40, 30, alpha] : [20, 60, 200, 255], at * 4);
  }
  return frame;
}

/** Writes a clip of `frames` frames, small unless `options` says otherwise. */
export async function make(file: string, frames: number, options: Partial<ClipOptions> = {}) {
  const size = { width: 128, height: 64 };
  const all = {
    file,
    ...size,
    fps: 30,
    overwrite: false,
    ffmpeg,
    quality: 'final',
    ...options,
  } as const;
  const clip = await openClip({ ...all, frames });
  for (let index = 0; index < frames; index++) {
    await clip.write(
      clip.pixelFormat === 'rgba'
        ? wipe(all.width, all.height, index, all.alpha ? 0 : 255)
        : bars(all.width, all.height, clip.pixelFormat),
    );
  }
  await clip.finish();
}

export interface Stream {
  [name: string]: string | number | undefined;
}

/** What ffprobe says of the first stream, frames counted. */
export function probe(file: string): Stream {
  const args = ['-v', 'error', '-count_frames', '-show_streams', '-of', 'json', file];
  const { streams } = JSON.parse(execFileSync('ffprobe', args, { encoding: 'utf8' }));
  return streams[0];
}

/** All frames decoded to that pixel format, without any conversion where it is the file's own. */
export function decode(file: string, pixelFormat: string, ...before: string[]): Buffer {
  const args = [
    '-v',
    'error',
    ...before,
    '-i',
    file,
    '-f',
    'rawvideo',
    '-pix_fmt',
    pixelFormat,
    '-',
  ];
  return execFileSync(ffmpeg.path, args, { maxBuffer: 2 ** 28 });
}

export interface Box {
  readonly type: string;
  readonly start: number;
  readonly end: number;
}

/** The ISO base media boxes from `start` to `end` (ISO/IEC 14496-12: size, type, 64-bit size where it is 1). */
export function boxes(bytes: Buffer, start = 0, end = bytes.length): Box[] {
  const found: Box[] = [];
  for (let at = start; at + 8 <= end; ) {
    const short = bytes.readUInt32BE(at);
    const size =
      short === 1 ? Number(bytes.readBigUInt64BE(at + 8)) : short === 0 ? end - at : short;
    found.push({ type: bytes.toString('latin1', at + 4, at + 8), start: at, end: at + size });
    at += size;
  }
  return found;
}

export const boxesOf = (file: string): string[] =>
  boxes(readFileSync(file)).map(({ type }) => type);

/** A program that calls itself ffmpeg with our ffmpeg's gifts, and does `script` when it should encode. */
export async function fakeFfmpeg(inFolder: string, script: string): Promise<Ffmpeg> {
  const path = join(inFolder, 'fake-ffmpeg');
  writeFileSync(
    path,
    `#!/bin/sh
case "$*" in
  *-version*) echo "ffmpeg version 0-fake Copyright" ; exit 0 ;;
  *-encoders*) printf ' ------\\n V....D libx264              H.264\\n' ; exit 0 ;;
  *-muxers*) printf ' --\\n  E mp4             MP4\\n' ; exit 0 ;;
esac
${script}
`,
  );
  chmodSync(path, 0o755);
  return findFfmpeg(path);
}
