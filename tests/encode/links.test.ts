import {
  chmodSync,
  existsSync,
  lstatSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  readlinkSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { openSequence } from '../../src/encode/sequence.js';
import { fileProblems } from '../../src/encode/target.js';
import { writeWhole } from '../../src/encode/wholeFile.js';
import { writeFolder } from '../../src/page/folder.js';

let folder: string;
const at = (name: string) => join(folder, name);
const write = (name: string, overwrite: boolean) =>
  writeWhole(at(name), overwrite, (temporary) => writeFile(temporary, 'new'));

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'orbreel-links-'));
  mkdirSync(at('far'));
  writeFileSync(at('far/file.jpg'), 'old');
  symlinkSync('far/file.jpg', at('link.jpg'));
  symlinkSync('link.jpg', at('second.jpg'));
});
afterEach(() => rmSync(folder, { recursive: true }));

describe.skipIf(process.platform === 'win32')('an output that is a link', () => {
  it.each(['link.jpg', 'second.jpg'])(
    '%s stays one: what it points at is written',
    async (name) => {
      const before = readlinkSync(at(name));
      await write(name, true);
      expect(readlinkSync(at(name))).toBe(before);
      expect(lstatSync(at('far/file.jpg')).isFile()).toBe(true);
      expect(readFileSync(at('far/file.jpg'), 'utf8')).toBe('new');
      expect(readdirSync(at('far'))).toEqual(['file.jpg']);
      expect(readdirSync(folder).sort()).toEqual(['far', 'link.jpg', 'second.jpg']);
    },
  );

  it('is not written through unasked', async () => {
    await expect(write('link.jpg', false)).rejects.toThrow(
      /link\.jpg: already exists: .*--overwrite/,
    );
    expect(readFileSync(at('far/file.jpg'), 'utf8')).toBe('old');
  });

  it('to a file that is yet to be made makes it', async () => {
    symlinkSync('far/coming.jpg', at('ahead.jpg'));
    await write('ahead.jpg', false);
    expect(readFileSync(at('far/coming.jpg'), 'utf8')).toBe('new');
    expect(lstatSync(at('ahead.jpg')).isSymbolicLink()).toBe(true);
  });

  it('is complained of where it leads nowhere', async () => {
    symlinkSync('nowhere/file.jpg', at('lost.jpg'));
    symlinkSync('round.jpg', at('round.jpg'));
    const said = async (name: string) =>
      (await fileProblems(at(name), true)).map(({ message }) => message);
    expect(await said('lost.jpg')).toEqual([
      `is a link to ${at('nowhere/file.jpg')}, whose folder does not exist: make it, or name another file.`,
    ]);
    expect(await said('round.jpg')).toEqual(['is a link that leads back to itself: name a file.']);
  });

  it('may be a folder of frames, or of a page', async () => {
    symlinkSync('far/frames', at('frames'));
    const sequence = { width: 2, height: 2, alpha: false, overwrite: false, frames: 1 };
    const writer = await openSequence({ ...sequence, file: `${at('frames')}/` });
    await writer.write(new Uint8Array(16));
    await writer.finish();
    expect(lstatSync(at('frames')).isSymbolicLink()).toBe(true);
    expect(readdirSync(at('far/frames'))).toHaveLength(1);

    mkdirSync(at('far/page'));
    symlinkSync('far/page', at('page'));
    await writeFolder(at('page'), false, (place) => place.page('a page'));
    expect(lstatSync(at('page')).isSymbolicLink()).toBe(true);
    expect(readFileSync(at('far/page/index.html'), 'utf8')).toBe('a page');
  });
});

describe('a file that is replaced', () => {
  it.skipIf(process.platform === 'win32')('keeps its permissions', async () => {
    chmodSync(at('far/file.jpg'), 0o600);
    await write('far/file.jpg', true);
    expect(statSync(at('far/file.jpg')).mode & 0o777).toBe(0o600);
  });

  it.skipIf(!existsSync('/dev/null'))('is no device', async () => {
    expect(await fileProblems('/dev/null', true)).toEqual([
      expect.objectContaining({ message: 'is no file but a device or the like: name a file.' }),
    ]);
  });
});
