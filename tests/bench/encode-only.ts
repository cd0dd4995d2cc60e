import { closeSync, openSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { x264 } from '../../src/encode/encoders/x26x.js';
import { rawInput } from '../../src/encode/input.js';
import { run } from './children.js';
import type { Bench } from './types.js';
import { HEIGHT, type Turning, WIDTH } from './views.js';

export const RATE = { numerator: 30, denominator: 1 };

/** Draws so many frames into a raw file; draws each only once, so nothing here is timed. */
export function dumpFrames({ folder }: Bench, turning: Turning, frames: number): string {
  const file = join(folder, 'frames.yuv');
  const handle = openSync(file, 'w');
  for (let i = 0; i < frames; i++) writeSync(handle, turning.frame());
  closeSync(handle);
  return file;
}

export interface EncodeTime {
  /** Seconds of all threads together. */
  readonly cpu: number;
  readonly wall: number;
}

/** Encodes raw frames from a file, all or the first `count`, as a render would, and does nothing else. */
export async function encodeOnly(
  { ffmpeg, folder }: Bench,
  frames: string,
  preset: string,
  count?: number,
): Promise<EncodeTime> {
  const stream = { width: WIDTH, height: HEIGHT, rate: RATE, alpha: false, preset } as const;
  const options = x264.options({ ...stream, quality: 'final', crf: x264.crf!.usual });
  const input = rawInput('yuv420p', WIDTH, HEIGHT, RATE).map((word) =>
    word === 'pipe:0' ? frames : word,
  );
  const args = ['-hide_banner', '-nostats', '-benchmark', '-y', ...input];
  const limit = count === undefined ? [] : ['-frames:v', String(count)];
  const output = [...limit, '-c:v', x264.name, ...options, join(folder, 'alone.mp4')];
  const words = await run(ffmpeg.path, [...args, ...output]);
  const times = /bench: utime=([\d.]+)s stime=([\d.]+)s rtime=([\d.]+)s/.exec(words);
  if (times === null) throw new Error(`ffmpeg told no times: ${words}`);
  const [user, system, wall] = times.slice(1).map(Number) as [number, number, number];
  return { cpu: user + system, wall };
}
