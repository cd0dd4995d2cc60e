import { execFile } from 'node:child_process';
import { existsSync } from 'node:fs';
import { promisify } from 'node:util';
import { InputError, WorkError } from '../errors.js';

export interface Ffmpeg {
  /** A path, or a name on PATH. */
  readonly path: string;
  readonly version: string;
  /** Where it was found, for people: `--ffmpeg`, `FFMPEG_BIN`, `ffmpeg-static`, `PATH`. */
  readonly origin: string;
  /** Names of the encoders and muxers built into it. */
  readonly encoders: ReadonlySet<string>;
  readonly muxers: ReadonlySet<string>;
  /** Output options that let every frame through with its own time, once. */
  readonly passthrough: readonly string[];
  /** Options before and behind an input whose video is copied without the turn of its display matrix. */
  readonly unturned: readonly [before: string, behind: string];
}

const run = promisify(execFile);
const probed = new Map<string, Promise<Ffmpeg>>();

const HOW_TO_INSTALL = `Install it:
  Debian, Ubuntu: sudo apt-get install ffmpeg
  macOS:          brew install ffmpeg
  Windows:        winget install ffmpeg
or name yours with --ffmpeg or the environment variable FFMPEG_BIN.`;

/**
 * Finds ffmpeg: `option` (the value of `--ffmpeg`), else FFMPEG_BIN, else the package ffmpeg-static,
 * else PATH; and asks it once per process what it can do.
 *
 * @throws InputError when the one named by the user is none; WorkError when there is none at all.
 */
export async function findFfmpeg(option?: string): Promise<Ffmpeg> {
  const named = option ? '--ffmpeg' : 'FFMPEG_BIN';
  const path = option || process.env.FFMPEG_BIN;
  if (path) {
    return probe(path, named).catch((error: unknown) => {
      const message = `no working ffmpeg: ${reason(error)}`;
      throw new InputError([{ place: named, path, message }]);
    });
  }
  const shipped = await staticFfmpeg();
  if (shipped) {
    const found = await probe(shipped, 'ffmpeg-static').catch(() => undefined);
    if (found) return found;
  }
  return probe('ffmpeg', 'PATH').catch((error: unknown) => {
    const missing = (error as NodeJS.ErrnoException).code === 'ENOENT';
    const found = missing ? 'ffmpeg was not found.' : `ffmpeg does not run: ${reason(error)}`;
    throw new WorkError(`${found} ${HOW_TO_INSTALL}`);
  });
}

function reason(error: unknown): string {
  const { code, message } = error as NodeJS.ErrnoException;
  if (code === 'ENOENT') return 'there is no such program.';
  if (code === 'EACCES') return 'it may not be run.';
  return message.split('\n')[0] ?? 'it failed.';
}

/** The optional dependency: absent where its download failed. */
async function staticFfmpeg(): Promise<string | undefined> {
  const name: string = 'ffmpeg-static';
  const module = (await import(name).catch(() => ({}))) as { default?: string | null };
  return module.default && existsSync(module.default) ? module.default : undefined;
}

function probe(path: string, origin: string): Promise<Ffmpeg> {
  const known = probed.get(path);
  if (known) return known;
  const asked = ask(path, origin);
  probed.set(path, asked);
  asked.catch(() => probed.delete(path));
  return asked;
}

async function ask(path: string, origin: string): Promise<Ffmpeg> {
  const words = async (...args: string[]) => (await run(path, args, { maxBuffer: 2 ** 24 })).stdout;
  const [about, encoders, muxers] = await Promise.all([
    words('-version'),
    words('-hide_banner', '-encoders'),
    words('-hide_banner', '-muxers'),
  ]);
  const version = /^ffmpeg version (\S+)/.exec(about)?.[1];
  if (!version) throw new Error('it does not call itself ffmpeg.');
  return {
    path,
    version,
    origin,
    encoders: names(encoders, /^ [VASFXBD.]{6} ([^=\s]\S*)/gm),
    muxers: names(muxers, /^ +D?E\S* +(\S+)/gm),
    passthrough: passthroughOf(about),
    unturned: unturnedBy(about),
  };
}

/** The first libavcodec of FFmpeg 5.1, which brought -fps_mode and deprecated -vsync. */
const FPS_MODE_SINCE = [59, 37] as const;

/** The first libavcodec of FFmpeg 6.0, which brought -display_rotation (from memory). */
const DISPLAY_ROTATION_SINCE = [60, 0] as const;

export const passthroughOf = (about: string): readonly string[] => [
  isOlder(about, FPS_MODE_SINCE) ? '-vsync' : '-fps_mode',
  'passthrough',
];

export const unturnedBy = (about: string): Ffmpeg['unturned'] =>
  isOlder(about, DISPLAY_ROTATION_SINCE)
    ? ['', '-c copy -metadata:s:v rotate=0']
    : ['-display_rotation 0', '-c copy'];

/** Read off the libraries, since builds of their own name versions as they like; those that hide theirs are new. */
function isOlder(about: string, [major, minor]: readonly [number, number]): boolean {
  const found = /^ *libavcodec +(\d+)\. *(\d+)\./mu.exec(about);
  const own = [Number(found?.[1]), Number(found?.[2])] as const;
  return own[0] < major || (own[0] === major && own[1] < minor);
}

const names = (text: string, row: RegExp): Set<string> =>
  // A row may name several: `mov,mp4`.
  new Set([...text.matchAll(row)].flatMap((match) => (match[1] ?? '').split(',')));
