import { mkdirSync, mkdtempSync, readdirSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { homedir, tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { writeEntry } from '../../src/cache/entry.js';
import { cacheFolder, clearCache, entriesOf, makeRoom } from '../../src/cache/folder.js';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'orbreel-cache-'));
});
afterEach(() => rmSync(folder, { recursive: true }));

const keyOf = (digit: string) => digit.repeat(32);
const nameOf = (digit: string) => `${keyOf(digit)}.levels`;
const UNFINISHED = `.${keyOf('e')}.0123456789ab.partial.levels`;

/** An entry that was last used so many minutes ago. */
function put(name: string, bytes: number, minutes = 0): void {
  writeFileSync(join(folder, name), Buffer.alloc(bytes));
  const then = new Date(Date.now() - minutes * 60_000);
  utimesSync(join(folder, name), then, then);
}

describe('cacheFolder', () => {
  // XDG Base Directory Specification 0.8: a relative path is to be ignored.
  it.each([
    ['linux', {}, join(homedir(), '.cache', 'orbreel')],
    ['linux', { XDG_CACHE_HOME: '/x' }, join('/x', 'orbreel')],
    ['linux', { XDG_CACHE_HOME: 'x' }, join(homedir(), '.cache', 'orbreel')],
    ['darwin', { XDG_CACHE_HOME: '/x' }, join(homedir(), 'Library', 'Caches', 'orbreel')],
    ['win32', { LOCALAPPDATA: '/local' }, join('/local', 'orbreel', 'cache')],
    ['linux', { ORBREEL_CACHE: 'here', XDG_CACHE_HOME: '/x' }, resolve('here')],
    ['linux', { ORBREEL_CACHE: 'off' }, undefined],
    ['linux', { ORBREEL_CACHE: '' }, join(homedir(), '.cache', 'orbreel')],
  ] as const)('%s %j: %s', (platform, env, expected) => {
    expect(cacheFolder(env, platform)).toBe(expected);
  });
});

describe('the cache', () => {
  it('lists what was used last first, and only what is its own', async () => {
    put(nameOf('a'), 10, 5);
    put(nameOf('b'), 20, 1);
    put('holiday.levels', 30);
    mkdirSync(join(folder, nameOf('c')));
    const found = await entriesOf(folder);
    expect(found.map(({ file, bytes }) => [file, bytes])).toEqual([
      [join(folder, nameOf('b')), 20],
      [join(folder, nameOf('a')), 10],
    ]);
    expect(await entriesOf(join(folder, 'none'))).toEqual([]);
  });

  it('makes room by removing what was not used for longest', async () => {
    put(nameOf('a'), 40, 1);
    put(nameOf('b'), 40, 3);
    put(nameOf('c'), 40, 2);
    put('holiday.jpg', 1000, 9);
    expect(await makeRoom(folder, 20, 100)).toBe(true);
    expect(readdirSync(folder).sort()).toEqual([nameOf('a'), nameOf('c'), 'holiday.jpg']);
  });

  it('takes nothing that is larger than it may be', async () => {
    put(nameOf('a'), 40);
    expect(await makeRoom(folder, 101, 100)).toBe(false);
    expect(readdirSync(folder)).toEqual([nameOf('a')]);
  });

  it('takes nothing that would fill the disk', async () => {
    expect(await makeRoom(folder, 1e18, 2e18)).toBe(false);
  });

  it('removes what a killed process left, but not what one is writing', async () => {
    put(UNFINISHED, 10, 25 * 60);
    put(`.${keyOf('f')}.0123456789ab.partial.levels`, 10, 60);
    await makeRoom(folder, 1, 100);
    expect(readdirSync(folder).some((name) => name === UNFINISHED)).toBe(false);
    expect(readdirSync(folder)).toHaveLength(1);
  });

  it('is cleared of all that is its own', async () => {
    put(nameOf('a'), 40);
    put(UNFINISHED, 2);
    put('holiday.jpg', 1000);
    expect(await clearCache(folder)).toBe(42);
    expect(readdirSync(folder)).toEqual(['holiday.jpg']);
    expect(await clearCache(join(folder, 'none'))).toBe(0);
  });
});

describe('writeEntry', () => {
  it('gives the entry its name when it is whole, and only then', async () => {
    const writer = await writeEntry(folder, keyOf('a'), {}, 100);
    writer!.add(Buffer.from('abc'));
    await writer!.keptUp();
    expect(readdirSync(folder)).not.toContain(nameOf('a'));
    await writer!.finish();
    expect(readdirSync(folder)).toEqual([nameOf('a')]);
  });

  it('leaves nothing behind, and says nothing, where the disk refuses', async () => {
    const writer = await writeEntry(folder, keyOf('a'), {}, 100);
    writer!.add(Buffer.from('abc'));
    // Nothing can be renamed to the name of a folder.
    mkdirSync(join(folder, nameOf('a'), 'x'), { recursive: true });
    await writer!.finish();
    expect(readdirSync(folder)).toEqual([nameOf('a')]);
  });
});
