import { spawn } from 'node:child_process';
import { existsSync, readdirSync, statSync } from 'node:fs';
import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import sharp from 'sharp';
import { afterEach, beforeEach, vi } from 'vitest';

// Each test starts processes, and machines can be busy.
vi.setConfig({ testTimeout: 60_000 });

export const projectFolder = fileURLToPath(new URL('../../', import.meta.url));
const loader = pathToFileURL(createRequire(import.meta.url).resolve('tsx')).href;

/** The installed command where the build is up to date (it starts quicker), else the same from source. */
export function commandOf(folder = projectFolder): string[] {
  const built = join(folder, 'dist', 'cli', 'main.js');
  const current = existsSync(built) && statSync(built).mtimeMs > newestIn(join(folder, 'src'));
  const main = join(folder, 'src', 'cli', 'main.ts');
  return current ? [process.execPath, built] : [process.execPath, '--import', loader, main];
}

/** When the last of a folder's files was changed, in ms. */
function newestIn(folder: string): number {
  const files = readdirSync(folder, { recursive: true, withFileTypes: true });
  return Math.max(...files.map((file) => statSync(join(file.parentPath, file.name)).mtimeMs));
}

export interface Ended {
  readonly code: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

export interface RunOptions {
  readonly env?: NodeJS.ProcessEnv;
  /** Called with all of stderr so far whenever more of it comes. */
  readonly onStderr?: (text: string, stop: (signal: NodeJS.Signals) => void) => void;
  readonly command?: readonly string[];
  readonly onStart?: (stop: (signal: NodeJS.Signals) => void) => void;
  /** Called with what comes, on whichever stream. */
  readonly onText?: (text: string) => void;
}

/** Runs `orbreel` in `cwd` and waits for its end. */
export function orbreel(cwd: string, words: readonly string[], options: RunOptions = {}) {
  const [program = '', ...before] = options.command ?? commandOf();
  return new Promise<Ended>((resolve, reject) => {
    const child = spawn(program, [...before, ...words], {
      cwd,
      env: { ...process.env, FFMPEG_BIN: '', ...options.env },
      stdio: ['ignore', 'pipe', 'pipe'],
    });
    options.onStart?.((signal) => child.kill(signal));
    let [stdout, stderr] = ['', ''];
    child.stdout.setEncoding('utf8').on('data', (text: string) => {
      stdout += text;
      options.onText?.(text);
    });
    child.stderr.setEncoding('utf8').on('data', (text: string) => {
      stderr += text;
      options.onText?.(text);
      options.onStderr?.(stderr, (signal) => child.kill(signal));
    });
    child.once('error', reject);
    child.once('close', (code) => resolve({ code, stdout, stderr }));
  });
}

export interface Running {
  /** Waits until what is printed after the last match matches. @throws when it ends before */
  next(pattern: RegExp): Promise<string>;
  stop(signal: NodeJS.Signals): void;
  readonly ended: Promise<Ended>;
}

/** Starts `orbreel` in `cwd`, for commands that go on. */
export function startOrbreel(cwd: string, words: readonly string[]): Running {
  let [printed, taken] = ['', 0];
  let [stop, look]: [Running['stop'], () => void] = [() => {}, () => {}];
  const ended = orbreel(cwd, words, {
    onStart: (kill) => {
      stop = kill;
    },
    onText: (text) => {
      printed += text;
      look();
    },
  });
  const next = (pattern: RegExp) =>
    new Promise<string>((resolve, reject) => {
      look = () => {
        const match = pattern.exec(printed.slice(taken));
        if (match === null) return;
        taken += match.index + match[0].length;
        look = () => {};
        resolve(match[0]);
      };
      look();
      ended.then(() => reject(new Error(`ended without ${pattern}:\n${printed}`)), reject);
    });
  return { next, ended, stop: (signal) => stop(signal) };
}

/** A folder of its own for each test, with a master (256x128) in it. */
export function workFolder() {
  let path = '';
  beforeEach(async () => {
    path = await mkdtemp(join(tmpdir(), 'orbreel-cli-'));
    await writeFile(join(path, 'master.png'), await masterPicture());
  });
  afterEach(() => rm(path, { recursive: true, force: true }));
  return {
    get path() {
      return path;
    },
    file: (name: string) => join(path, name),
    write: (name: string, text: string) => writeFile(join(path, name), text),
    read: (name: string) => readFile(join(path, name), 'utf8'),
    /** Hidden ones too: what is half-written would be one. */
    names: async () => (await readdir(path)).sort(),
    run: (words: readonly string[], options?: RunOptions) => orbreel(path, words, options),
  };
}

let picture: Promise<Buffer> | undefined;

function masterPicture(): Promise<Buffer> {
  const [width, height] = [256, 128];
  const data = Buffer.alloc(width * height * 3);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) data.set([x, 2 * y, (x ^ y) & 255], 3 * (y * width + x));
  }
  picture ??= sharp(data, { raw: { width, height, channels: 3 } })
    .png()
    .toBuffer();
  return picture;
}

/** 0.4 s at 10 frames per second, 64x32. */
export const SHORT_SCENE = `master: master.png
duration: 0.4
fps: 10
outputs: [64x32]
keyframes:
  - { at: 0, yaw: 0, pitch: -90, fov: 300, projection: stereographic }
  - { at: 0.3, yaw: 90, pitch: 0, fov: 80, projection: rectilinear }
`;
