import { type ChildProcess, spawn } from 'node:child_process';
import { WorkError } from '../errors.js';
import { endWithUs, killGroup } from './temporary.js';

const WORDS_KEPT = 4096;
const LAST_LINES = 5;
const PATIENCE_IN_MS = 5000;

/** One run of ffmpeg, fed through its standard input. */
export interface Run {
  /** Resolves when ffmpeg's end of the pipe has taken it all. */
  write(bytes: Uint8Array): Promise<void>;
  /** Closes the pipe and waits for the end. */
  finish(): Promise<void>;
  /** Ends it now; resolves when it is gone. */
  kill(): Promise<void>;
}

/** ffmpeg 5 ends with status 0 although the disk filled up while it wrote the file's index. */
const UNFINISHED = /error (writing trailer|closing file)|no space left on device/i;

interface Ending {
  readonly code: number | null;
  readonly signal: NodeJS.Signals | null;
  readonly error?: Error;
}

/**
 * Starts ffmpeg. `label` is what is being made, for messages; `hide` maps our temporary names to what
 * the user knows. `write` and `finish` throw WorkError with ffmpeg's last words when it fails.
 */
export function startFfmpeg(
  path: string,
  args: readonly string[],
  label: string,
  hide: Readonly<Record<string, string>> = {},
): Run {
  const child = spawn(path, ['-hide_banner', '-nostats', '-v', 'error', '-xerror', '-y', ...args], {
    stdio: ['pipe', 'ignore', 'pipe'],
    // A group of its own: Ctrl-C in the terminal is ours to handle, ffmpeg must not end before us.
    detached: process.platform !== 'win32',
    windowsHide: true,
    // SVT-AV1 speaks past ffmpeg: errors only.
    env: { ...process.env, SVT_LOG: '1' },
  });
  endWithUs(child);
  let words = '';
  child.stderr.setEncoding('utf8').on('data', (text: string) => {
    words = (words + text).slice(-WORDS_KEPT);
  });
  // A broken pipe only says that ffmpeg has ended; its status says why.
  child.stdin.on('error', () => {});
  const ending = endOf(child);

  async function failure(): Promise<WorkError> {
    const timer = setTimeout(() => killGroup(child), PATIENCE_IN_MS);
    const end = await ending;
    clearTimeout(timer);
    return new WorkError(describe(end, label, lastWords(words, hide)));
  }

  return {
    async write(bytes) {
      const broken = await new Promise((resolve) => child.stdin.write(bytes, resolve));
      if (broken) throw await failure();
    },
    async finish() {
      child.stdin.end();
      const end = await ending;
      if (end.error || end.code !== 0 || UNFINISHED.test(words)) throw await failure();
    },
    async kill() {
      killGroup(child);
      await ending;
    },
  };
}

function endOf(child: ChildProcess): Promise<Ending> {
  return new Promise((resolve) => {
    child.once('error', (error) => {
      // Only a child that never started has no number.
      if (child.pid === undefined) resolve({ code: null, signal: null, error });
    });
    child.once('close', (code, signal) => resolve({ code, signal }));
  });
}

function describe({ code, signal, error }: Ending, label: string, words: string): string {
  if (error) return `ffmpeg could not be started for ${label}: ${error.message}.`;
  if (/no space left on device/i.test(words))
    return `${label}: cannot be written: the disk is full.`;
  const how = signal ? `was ended by ${signal}` : `ended with exit status ${code}`;
  const said = words === '' ? 'It said nothing.' : `Its last words:\n${words}`;
  return `ffmpeg ${how} while making ${label}. ${said}`;
}

function lastWords(text: string, hide: Readonly<Record<string, string>>): string {
  let plain = text.replace(/ @ 0x[0-9a-f]+/gi, '');
  for (const [ours, theirs] of Object.entries(hide)) plain = plain.replaceAll(ours, theirs);
  const lines = plain.split(/[\r\n]+/).filter((line) => line.trim() !== '');
  return lines
    .slice(-LAST_LINES)
    .map((line) => `  ${line.trim()}`)
    .join('\n');
}
