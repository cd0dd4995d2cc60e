import { mkdir, readdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { workFolder } from './support.js';

const BYTES = 51_000_000;

describe('orbreel cache', () => {
  const folder = workFolder();
  const run = (words: string[], cache: string) =>
    folder.run(['cache', ...words], { env: { ORBREEL_CACHE: cache } });

  it('tells what is there, and clears it, of nothing but its own', async () => {
    const cache = join(folder.path, 'kept');
    await mkdir(cache);
    await writeFile(join(cache, `${'a'.repeat(32)}.levels`), Buffer.alloc(BYTES));
    await writeFile(join(cache, 'own.txt'), 'mine');
    expect((await run([], cache)).stdout).toBe(`${cache}  1 master, 0.1 GB\n`);
    const { stdout } = await run(['--json'], cache);
    expect(JSON.parse(stdout)).toEqual({
      ...{ folder: cache, masters: 1, bytes: BYTES, removed: 0 },
    });
    expect((await run(['--clear'], cache)).stdout).toBe(`${cache}  0.1 GB removed\n`);
    expect((await run([], cache)).stdout).toBe(`${cache}  0 masters, 0.0 GB\n`);
    expect(await readdir(cache)).toEqual(['own.txt']);
  });

  it('says that it is off', async () => {
    const { code, stdout } = await run(['--clear'], 'off');
    expect([code, stdout]).toEqual([
      0,
      'Nothing is kept: ORBREEL_CACHE is off, or this user has no home folder.\n',
    ]);
  });
});
