import { execFile } from 'node:child_process';
import { existsSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { promisify } from 'node:util';
import { WorkError } from '../errors.js';

const run = promisify(execFile);

/** What ffprobe tells of a stream, as far as it is used here. */
export interface ProbedStream {
  readonly index: number;
  readonly codec_type?: string;
  readonly codec_name?: string;
  readonly codec_tag_string?: string;
  readonly width?: number;
  readonly height?: number;
  readonly pix_fmt?: string;
  readonly color_range?: string;
  readonly color_space?: string;
  readonly color_primaries?: string;
  readonly color_transfer?: string;
  readonly chroma_location?: string;
  readonly r_frame_rate?: string;
  readonly avg_frame_rate?: string;
  readonly time_base?: string;
  readonly start_time?: string;
  readonly duration?: string;
  readonly channels?: number;
  readonly disposition?: { readonly attached_pic?: number };
  readonly side_data_list?: readonly { readonly rotation?: number }[];
}

export interface Probed {
  readonly streams?: readonly ProbedStream[];
  readonly format?: { readonly duration?: string; readonly start_time?: string };
}

/** Why ffprobe could not make sense of a file: its last words. */
export class Unreadable extends Error {}

/**
 * Asks ffprobe, the program that comes with `ffmpeg`, what is in a file.
 *
 * @throws Unreadable; WorkError when there is no ffprobe
 */
export async function probeFile(file: string, ffmpeg: string): Promise<Probed> {
  const path = ffprobeBeside(ffmpeg);
  const what = ['-show_streams', '-show_format', '-of', 'json', `file:${resolve(file)}`];
  try {
    const { stdout } = await run(path, ['-v', 'error', ...what], { maxBuffer: 2 ** 24 });
    return JSON.parse(stdout) as Probed;
  } catch (error) {
    const { code, stderr = '' } = error as { code?: string | number; stderr?: string };
    if (code === 'ENOENT') {
      throw new WorkError(
        'ffprobe was not found. It comes with ffmpeg and reads what is in a video: install ffmpeg whole, or put ffprobe beside the ffmpeg that you name.',
      );
    }
    throw new Unreadable(lastLine(stderr, file));
  }
}

/** ffmpeg's last line, without its own words for where that arose. */
export function lastLine(words: string, file: string): string {
  const line =
    words
      .trim()
      .split(/[\r\n]+/u)
      .at(-1) ?? '';
  return line
    .replace(/^(\[[^\]]*\] *)+/u, '')
    .replaceAll(`file:${resolve(file)}: `, '')
    .trim();
}

function ffprobeBeside(ffmpeg: string): string {
  const name = process.platform === 'win32' ? 'ffprobe.exe' : 'ffprobe';
  const beside = join(dirname(ffmpeg), name);
  return /[/\\]/u.test(ffmpeg) && existsSync(beside) ? beside : name;
}
