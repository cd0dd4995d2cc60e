import { spawn } from 'node:child_process';
import { resolve } from 'node:path';
import type { Ffmpeg } from '../../encode/ffmpeg.js';
import { lastLine } from '../../encode/ffprobe.js';
import { endWithUs, killGroup } from '../../encode/temporary.js';
import { createMailbox } from './mailbox.js';
import { createWords } from './words.js';

export interface Picture {
  /** Seconds on the file's clock at which it begins to be shown. */
  readonly time: number;
  /** Its planes; the caller's, to be handed to `reuse` when done with. */
  readonly data: Uint8Array;
}

export interface DecodeRequest {
  readonly file: string;
  readonly ffmpeg: Pick<Ffmpeg, 'path' | 'passthrough'>;
  /** The stream's number in the file. */
  readonly index: number;
  /** Seconds after the file's first instant; frames before it do not come. Undefined for all. */
  readonly from?: number;
  readonly format: string;
  readonly bytes: number;
  /** ffmpeg's filters between decoding and the pipe. */
  readonly filters: readonly string[];
}

/** One run of ffmpeg that decodes frames in order, a little ahead of who takes them. */
export interface Decoding {
  /** The next frame; undefined after the last. @throws DecodeError */
  next(): Promise<Picture | undefined>;
  /** Gives a frame's memory back. */
  reuse(data: Uint8Array): void;
  close(): Promise<void>;
}

/** ffmpeg gave up; the message is its last words. */
export class DecodeError extends Error {}

/** Frames that are read ahead. More would only take memory: ffmpeg has some in hand itself. */
const AHEAD = 2;

export function startDecoding(request: DecodeRequest): Decoding {
  const { file, ffmpeg, index, from, format, bytes, filters } = request;
  const child = spawn(
    ffmpeg.path,
    [
      ...['-hide_banner', '-nostats', '-v', 'level+info', '-xerror', '-nostdin'],
      ...(from === undefined ? [] : ['-ss', from.toFixed(6)]),
      ...['-copyts', '-i', `file:${resolve(file)}`, '-map', `0:${index}`],
      // The frames' own times; one frame out for each one in.
      ...['-vf', ['showinfo=checksum=0', ...filters].join(','), ...ffmpeg.passthrough],
      ...['-pix_fmt', format, '-f', 'rawvideo', 'pipe:1'],
    ],
    {
      stdio: ['ignore', 'pipe', 'pipe'],
      detached: process.platform !== 'win32',
      windowsHide: true,
    },
  );
  endWithUs(child);
  const ended = new Promise<number | null>((done) => {
    child.once('error', () => done(-1));
    child.once('close', (code) => done(code));
  });
  const words = createWords();
  child.stderr.setEncoding('utf8').on('data', words.add);
  const spare: Uint8Array[] = [];
  const box = createMailbox<Uint8Array>(AHEAD);

  const pump = async () => {
    let frame = spare.pop() ?? new Uint8Array(bytes);
    let filled = 0;
    for await (const chunk of child.stdout as AsyncIterable<Uint8Array>) {
      for (let at = 0; at < chunk.length; ) {
        const part = chunk.subarray(at, at + bytes - filled);
        frame.set(part, filled);
        at += part.length;
        filled += part.length;
        if (filled < bytes) continue;
        await box.put(frame);
        frame = spare.pop() ?? new Uint8Array(bytes);
        filled = 0;
      }
    }
    const code = await ended;
    if (code !== 0) throw new DecodeError(lastLine(words.errors(), file) || `exit status ${code}`);
    if (filled > 0) throw new DecodeError('its last frame is not whole');
  };
  pump().then(box.end, box.fail);

  return {
    async next() {
      const data = await box.take();
      return data === undefined ? undefined : { time: await words.nextTime(), data };
    },
    reuse: (data) => spare.push(data),
    async close() {
      box.abandon();
      killGroup(child);
      child.stdout.destroy();
      await ended;
    },
  };
}
