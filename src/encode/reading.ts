import type { FileHandle } from 'node:fs/promises';

/** Node.js reads less than 2 GiB at once. */
const MOST_AT_ONCE = 2 ** 30;

/**
 * Fills `into` from a file, however few bytes the system gives at once.
 *
 * @param from bytes from the file's start; without it, where the last such reading ended
 * @returns bytes read: fewer than there is room for only where the file ends
 */
export async function fill(handle: FileHandle, into: Uint8Array, from?: number): Promise<number> {
  let filled = 0;
  while (filled < into.length) {
    const wanted = Math.min(MOST_AT_ONCE, into.length - filled);
    const place = from === undefined ? null : from + filled;
    const { bytesRead } = await handle.read(into, filled, wanted, place);
    if (bytesRead === 0) break;
    filled += bytesRead;
  }
  return filled;
}

/** @returns `size` bytes of a file; fewer where it ends before */
export async function readBytes(handle: FileHandle, start: number, size: number): Promise<Buffer> {
  const bytes = Buffer.alloc(size);
  return bytes.subarray(0, await fill(handle, bytes, start));
}
