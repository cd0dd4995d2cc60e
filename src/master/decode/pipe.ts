import { execFile } from 'node:child_process';
import { closeSync, constants, openSync, readSync } from 'node:fs';
import { mkdir } from 'node:fs/promises';
import { Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { removeTemporary, temporaryBeside } from '../../encode/temporary.js';

/** What empties the pipes that are open. */
const open = new Set<() => void>();
let armed = false;

/** A writer of this process that waits for room in a pipe would keep the process from ending. */
function emptyAtExit(empty: () => void): void {
  open.add(empty);
  if (armed) return;
  armed = true;
  process.once('exit', () => {
    for (const each of open) each();
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
  /** What a writer still has to write goes nowhere. */
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
  const emptyNow = () => {
    writerEnded();
    while (!isEmpty(reading));
  };
  emptyAtExit(emptyNow);
  const chunks = socket[Symbol.asyncIterator]();
  let chunk: Uint8Array = new Uint8Array();
  // libvips opens its end for reading too, so it would wait for ever were ours just closed.
  const empty = async () => {
    for (let rest = await chunks.next(); !rest.done; rest = await chunks.next());
    open.delete(emptyNow);
  };
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
      void empty();
    },
  };
}

/** Takes a portion out of a pipe; whether there will be no more. */
function isEmpty(reading: number): boolean {
  try {
    return readSync(reading, SCRAP) === 0;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EAGAIN') return true;
    Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 1);
    return false;
  }
}

const SCRAP = new Uint8Array(2 ** 16);
