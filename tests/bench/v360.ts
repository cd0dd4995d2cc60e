import { spawn } from 'node:child_process';
import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Bench } from './types.js';
import { type BenchView, HEIGHT, TURN, WIDTH } from './views.js';

/** ffmpeg's names of the projections. */
const FILTERS = { stereographic: 'sg', rectilinear: 'flat' } as const;
const RATE = 25;

const degrees = (radians: number) => (radians * 180) / Math.PI;
const radians = (degrees: number) => (degrees * Math.PI) / 180;

/** The filter with the same view: it takes an angle for each side. */
export function v360Filter({ projection, fov, pitch }: BenchView): string {
  const share = projection === 'stereographic' ? 4 : 2;
  const across = Math.tan(radians(fov) / share);
  const high = degrees(share * Math.atan((across * HEIGHT) / WIDTH));
  const size = `w=${WIDTH}:h=${HEIGHT}:h_fov=${fov}:v_fov=${high.toFixed(4)}`;
  return `v360=e:${FILTERS[projection]}:${size}:pitch=${pitch}:interp=line`;
}

export interface FilterSpeed {
  readonly fps: number;
  /** Seconds of all threads together, start-up and decoding included. */
  readonly cpu: number;
}

/**
 * Speed of ffmpeg's v360 filter with the yaw commanded for each frame, in yuv420p, its quickest
 * layout, into nothing. The master is decoded and converted once and repeated; the frame rate's clock runs
 * from the first frame's end to the last one's, so neither start-up nor decoding counts.
 */
export async function v360Speed(
  { ffmpeg, folder }: Bench,
  master: string,
  view: BenchView,
  frames: number,
): Promise<FilterSpeed> {
  const commands = join(folder, 'turn.txt');
  const numbers = Array.from({ length: frames }, (_, index) => index);
  // A moment before each frame's time, so that rounding puts none off to the next.
  const command = (frame: number) =>
    `${Math.max(0, (frame - 0.25) / RATE).toFixed(4)} v360 yaw ${(frame * TURN).toFixed(2)};`;
  await writeFile(commands, `${numbers.map(command).join('\n')}\n`);
  const filters = [
    'format=yuv420p',
    'loop=loop=-1:size=1',
    `setpts=N/${RATE}/TB`,
    `sendcmd=f=${commands}`,
    v360Filter(view),
    'showinfo=checksum=0',
  ];
  const { times, cpu } = await frameTimes(ffmpeg.path, [
    ...['-hide_banner', '-nostats', '-benchmark', '-i', master, '-vf', filters.join(',')],
    ...['-frames:v', String(frames), '-f', 'null', '-'],
  ]);
  if (times.length < frames) {
    throw new Error(`ffmpeg should have made ${frames} frames, found ${times.length}.`);
  }
  return { fps: (1000 * (frames - 1)) / (times[frames - 1]! - times[0]!), cpu };
}

/** When, in milliseconds, each frame's line of the showinfo filter came; and the CPU time told in the end. */
async function frameTimes(path: string, args: readonly string[]) {
  const child = spawn(path, args, { stdio: ['ignore', 'ignore', 'pipe'] });
  const times: number[] = [];
  let cpu = Number.NaN;
  let rest = '';
  child.stderr.setEncoding('utf8').on('data', (text: string) => {
    const lines = (rest + text).split('\n');
    rest = lines.pop()!;
    for (const line of lines) {
      if (/showinfo.*\bn: *\d+ pts:/.test(line)) times.push(performance.now());
      const told = /bench: utime=([\d.]+)s stime=([\d.]+)s/.exec(line);
      if (told !== null) cpu = Number(told[1]) + Number(told[2]);
    }
  });
  await new Promise((resolve, reject) => {
    child.once('error', reject);
    child.once('close', resolve);
  });
  return { times, cpu };
}
