import { type FileHandle, open, rename } from 'node:fs/promises';
import { crc32 } from 'node:zlib';
import { fill } from '../encode/reading.js';
import { release, removeTemporary, temporaryBeside } from '../encode/temporary.js';
import { entryFile, makeRoom, noteUse } from './folder.js';

/**
 * An entry is a file: this word, to be changed with its layout and with whatever makes other levels of the same
 * master; a portion of JSON that says what it holds; portions of data; an empty portion. A portion is its length and
 * its CRC, 32 bits each, and its bytes.
 */
export const ENTRY_WORD = 'orbreel levels 2';
const WORD = Buffer.from(ENTRY_WORD);
/** Most bytes of a portion of data. */
const PORTION_BYTES = 2 ** 22;
const HEAD_BYTES = 8;
/** Portions that wait for the disk before whoever writes has to. */
const MOST_WAITING = 4;

/** Writes an entry; the disk's troubles only mean that there will be none. */
export interface EntryWriter {
  /** These bytes, together at most 4 MiB, stay together in a portion; they are copied. */
  add(...pieces: readonly Uint8Array[]): void;
  /** Comes when the disk has nearly kept up. */
  keptUp(): Promise<void>;
  /** Gives the entry its name, where all went well. */
  finish(): Promise<void>;
  abort(): Promise<void>;
}

/**
 * @param key 32 hexadecimal digits
 * @param about what the entry holds, as JSON
 * @param bytes about so many will come
 * @returns undefined where there is no room, or no such folder can be made
 */
export async function writeEntry(
  folder: string,
  key: string,
  about: object,
  bytes: number,
): Promise<EntryWriter | undefined> {
  if (!(await makeRoom(folder, bytes))) return undefined;
  const file = entryFile(folder, key);
  const temporary = temporaryBeside(file);
  const handle = await open(temporary, 'wx', 0o600).catch(() => undefined);
  if (handle === undefined) {
    release(temporary);
    return undefined;
  }
  let failed = false;
  let waiting = 0;
  let written: Promise<unknown> = Promise.resolve();
  const put = (data: Uint8Array) => {
    const head = Buffer.alloc(HEAD_BYTES);
    head.writeUInt32LE(data.length, 0);
    head.writeUInt32LE(crc32(data), 4);
    waiting++;
    written = written
      .then(async () => {
        if (failed) return;
        const { bytesWritten } = await handle.writev([head, data]);
        if (bytesWritten < HEAD_BYTES + data.length) failed = true;
      })
      .catch(() => {
        failed = true;
      })
      .finally(() => waiting--);
  };
  written = handle.write(WORD).catch(() => {
    failed = true;
  });
  put(Buffer.from(JSON.stringify(about)));
  let portion = Buffer.allocUnsafe(PORTION_BYTES);
  let filled = 0;
  const flush = () => {
    if (filled > 0) put(portion.subarray(0, filled));
    portion = Buffer.allocUnsafe(PORTION_BYTES);
    filled = 0;
  };
  const abort = async () => {
    failed = true;
    await written;
    await handle.close().catch(() => {});
    await removeTemporary(temporary).catch(() => {});
  };
  return {
    add(...pieces) {
      if (failed) return;
      if (filled + pieces.reduce((sum, { length }) => sum + length, 0) > PORTION_BYTES) flush();
      for (const piece of pieces) {
        portion.set(piece, filled);
        filled += piece.length;
      }
    },
    async keptUp() {
      while (waiting > MOST_WAITING) await new Promise((turn) => setTimeout(turn, 1));
    },
    async finish() {
      flush();
      put(new Uint8Array());
      await written;
      if (failed) return abort();
      try {
        await handle.close();
        await rename(temporary, file);
        release(temporary);
      } catch {
        await removeTemporary(temporary).catch(() => {});
      }
    },
    abort,
  };
}

/** An entry that is there. */
export interface EntryReader {
  readonly about: unknown;
  /**
   * Portions in the order in which they were written, each good until the next one is asked for. To be taken once.
   * @throws Error when it is damaged
   */
  readonly portions: AsyncIterable<Buffer>;
  close(): Promise<void>;
}

/** @returns undefined where there is none, or none that can be read */
export async function readEntry(folder: string, key: string): Promise<EntryReader | undefined> {
  const file = entryFile(folder, key);
  const handle = await open(file).catch(() => undefined);
  if (handle === undefined) return undefined;
  try {
    const word = Buffer.alloc(WORD.length);
    await fillAll(handle, word);
    if (!word.equals(WORD)) throw new Error('another layout');
    const about: unknown = JSON.parse(String(await portionOf(handle, Buffer.alloc(PORTION_BYTES))));
    await noteUse(file);
    return { about, portions: portionsOf(handle), close: () => handle.close() };
  } catch {
    await handle.close();
    return undefined;
  }
}

/** The next one is read while the last one is used. */
async function* portionsOf(handle: FileHandle): AsyncGenerator<Buffer> {
  let [now, later] = [Buffer.allocUnsafe(PORTION_BYTES), Buffer.allocUnsafe(PORTION_BYTES)];
  const read = () => {
    const reading = portionOf(handle, now);
    reading.catch(() => {});
    [now, later] = [later, now];
    return reading;
  };
  for (let next = read(); ; ) {
    const portion = await next;
    if (portion.length === 0) return;
    next = read();
    yield portion;
  }
}

async function portionOf(handle: FileHandle, memory: Buffer): Promise<Buffer> {
  const head = Buffer.alloc(HEAD_BYTES);
  await fillAll(handle, head);
  const length = head.readUInt32LE(0);
  if (length > memory.length) throw new Error('damaged');
  const portion = memory.subarray(0, length);
  await fillAll(handle, portion);
  if (crc32(portion) !== head.readUInt32LE(4)) throw new Error('damaged');
  return portion;
}

async function fillAll(handle: FileHandle, into: Buffer): Promise<void> {
  if ((await fill(handle, into)) < into.length) throw new Error('it ends early');
}
