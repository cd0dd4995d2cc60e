import { type FileHandle, mkdtemp, open, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { fill, readBytes } from '../../src/encode/reading.js';

const CONTENT = Buffer.from(Array.from({ length: 100 }, (_, index) => index));
let folder: string;
let file: string;

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'orbreel-'));
  file = join(folder, 'bytes');
  await writeFile(file, CONTENT);
});

afterAll(() => rm(folder, { recursive: true }));

async function reading<T>(use: (handle: FileHandle) => Promise<T>): Promise<T> {
  const handle = await open(file);
  try {
    return await use(handle);
  } finally {
    await handle.close();
  }
}

/** A handle that gives few bytes at once, as a network's disk may. */
const grudging = (handle: FileHandle, most: number): FileHandle =>
  ({
    read: (into: Uint8Array, at: number, length: number, from: number | null) =>
      handle.read(into, at, Math.min(most, length), from),
  }) as unknown as FileHandle;

describe('reading by a handle', () => {
  it('goes on until all is there, however little comes at once', async () => {
    const bytes = await reading((handle) => readBytes(grudging(handle, 7), 10, 50));
    expect(bytes).toEqual(CONTENT.subarray(10, 60));
  });

  it('says how much there was where the file ends', async () => {
    expect(await reading((handle) => readBytes(handle, 90, 50))).toEqual(CONTENT.subarray(90));
    const into = Buffer.alloc(8, 255);
    expect(await reading((handle) => fill(handle, into, 97))).toBe(3);
    expect([...into]).toEqual([97, 98, 99, 255, 255, 255, 255, 255]);
  });

  it('goes on where it ended, without a place', async () => {
    const [first, second] = [Buffer.alloc(30), Buffer.alloc(30)];
    await reading(async (handle) => {
      await fill(grudging(handle, 8), first);
      await fill(grudging(handle, 8), second);
    });
    expect(Buffer.concat([first, second])).toEqual(CONTENT.subarray(0, 60));
  });
});
