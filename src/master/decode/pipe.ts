import { execFile } from 'node:child_process';
import { closeSync, constants, openSync } from 'node:fs';
import { mkdir } from 'node:fs/promises';
import { Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { removeTemporary, temporaryBeside } from '../../encode/temporary.js';

/** Ends of open pipes: were they left open, a writer of this process would keep it from ending. */
const ends = new Set<() => void>();
let armed = false;

function atExit(close: () => void): void {
  ends.add(close);
  if (armed) return;
  armed = true;
  process.once('exit', () => {
    for (const end of ends) end();
  });
}

/** Bytes that are taken in ahead of the reader. */
const AHEAD = 2 ** 20;

/** A named pipe: what one writer puts into `path` is read here, as fast as it is used. */
export interface NamedPipe {
  readonly path: string;
  /** Fills `into`; gives the number of bytes, fewer where `writerEnded` and there are no more. */
  fill(into: Uint8Array): Promise<number>;
  /** Whoever wrote is done: the reading ends with what is still in the pipe. */
  writerEnded(): void;
  /** A writer that is still at work gets an error. */
  close(): Promise<void>;
}

/** @param extension of the path, with its dot. @returns undefined on systems without such pipes */
export async function openPipe(extension: string): Promise<NamedPipe | undefined> {
  if (process.platform === 'win32') return undefined;
  // In a folder of its own: once that is gone, a writer that comes late cannot leave a file there.
  const folder = temporaryBeside(join(tmpdir(), 'orbreel-pipe'), '');
  const path = join(folder, `pipe${extension}`);
  try {
    await mkdir(folder, { mode: 0o700 });
    await promisify(execFile)('mkfifo', ['-m', '600', path]);
  } catch {
    await removeTemporary(folder);
    return undefined;
  }
  // Neither waits for the other end. Our own writing end keeps the pipe from ending before it has begun.
  const reading = openSync(path, constants.O_RDONLY | constants.O_NONBLOCK);
  let writing: number | undefined = openSync(path, constants.O_WRONLY);
  // The types lack this one; without it, far less is taken in ahead.
  const ahead: object = { highWaterMark: AHEAD };
  const socket = new Socket({ fd: reading, readable: true, writable: false, ...ahead });
  const writerEnded = () => {
    if (writing !== undefined) closeSync(writing);
    writing = undefined;
  };
  const closeNow = () => closeSync(reading);
  atExit(closeNow);
  const chunks = socket[Symbol.asyncIterator]();
  let chunk: Uint8Array = new Uint8Array();
  return {
    path,
    async fill(into) {
      let filled = 0;
      while (filled < into.length) {
        if (chunk.length === 0) {
          const next = await chunks.next();
          if (next.done) break;
          chunk = next.value as Uint8Array;
        }
        const part = chunk.subarray(0, into.length - filled);
        into.set(part, filled);
        filled += part.length;
        chunk = chunk.subarray(part.length);
      }
      return filled;
    },
    writerEnded,
    async close() {
      await removeTemporary(folder);
      ends.delete(closeNow);
      socket.destroy();
      writerEnded();
    },
  };
}
