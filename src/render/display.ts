import { type ChildProcess, spawn } from 'node:child_process';
import type { Readable } from 'node:stream';
import { WorkError } from '../errors.js';

const START_TIMEOUT_IN_MS = 20_000;

export interface OwnDisplay {
  /** As the DISPLAY variable wants it: `:99`. */
  readonly name: string;
  /** Ends the server; needed only while no client has connected, since it leaves with its last one. */
  stop(): void;
}

/**
 * Starts an X server of our own on a free display. It ends when its last client has gone, so also when
 * this process is killed.
 *
 * @throws WorkError when Xvfb is not installed or does not come up.
 */
export async function startDisplay(): Promise<OwnDisplay> {
  const server = spawn(
    'Xvfb',
    ['-displayfd', '3', '-screen', '0', '64x64x24', '-nolisten', 'tcp', '-terminate'],
    // A process group of its own keeps a terminal's Ctrl-C from it: we end first, it follows.
    { stdio: ['ignore', 'ignore', 'ignore', 'pipe'], detached: true },
  );
  server.unref();
  const stop = () => void server.kill();
  try {
    return { name: await readName(server), stop };
  } catch (error) {
    stop();
    throw error;
  }
}

function readName(server: ChildProcess): Promise<string> {
  return new Promise((resolve, reject) => {
    const fail = (words: string) => reject(new WorkError(words));
    const timer = setTimeout(
      () => fail(`The X server (Xvfb) opened no display within ${START_TIMEOUT_IN_MS / 1000} s.`),
      START_TIMEOUT_IN_MS,
    );
    const pipe = server.stdio[3] as Readable;
    let text = '';
    pipe.on('data', (chunk) => {
      text += String(chunk);
      if (!text.includes('\n')) return;
      clearTimeout(timer);
      pipe.destroy();
      resolve(`:${text.trim()}`);
    });
    server.once('error', (error: NodeJS.ErrnoException) => {
      clearTimeout(timer);
      fail(
        error.code === 'ENOENT'
          ? 'Drawing without a display needs an X server, and Xvfb was not found: install it (Debian, Ubuntu: `apt-get install xvfb libgl1 libgl1-mesa-dri`).'
          : `The X server (Xvfb) could not be started: ${error.message}.`,
      );
    });
    server.once('exit', (code) => {
      clearTimeout(timer);
      fail(`The X server (Xvfb) ended with status ${code} before it opened a display.`);
    });
  });
}
