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
import { sequenceProblems } from '../../src/encode/frames.js';
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

describe.skipIf(process.platform === 'win32')('links among the frames of a sequence', () => {
  const sequence = { width: 2, height: 2, alpha: false };
  const draw = async (frames: number, overwrite: boolean) => {
    const writer = await openSequence({ ...sequence, file: at('frames-%d.png'), overwrite });
    for (let frame = 0; frame < frames; frame++) await writer.write(new Uint8Array(16));
    await writer.finish();
  };
  const isPng = (name: string) => readFileSync(at(name)).toString('latin1', 1, 4) === 'PNG';

  beforeEach(() => {
    symlinkSync('far/file.jpg', at('frames-0.png'));
    symlinkSync('far/nothing.png', at('frames-1.png'));
    symlinkSync('far', at('frames-7.png'));
  });

  it('stand in the way of new ones, wherever they lead', async () => {
    const said = await sequenceProblems({
      ...sequence,
      file: at('frames-%d.png'),
      overwrite: false,
    });
    expect(said.map(({ message }) => message)).toEqual([
      'the folder already holds 3 frames of that name: choose another, or add --overwrite to replace them.',
    ]);
    // Links that came while the frames were drawn.
    await expect(draw(1, false)).rejects.toThrow('frames-0.png appeared meanwhile');
    expect(readlinkSync(at('frames-0.png'))).toBe('far/file.jpg');
    expect(readFileSync(at('far/file.jpg'), 'utf8')).toBe('old');
  });

  it('are replaced themselves when asked for; nothing is written or removed where they lead', async () => {
    await draw(3, true);
    for (const frame of ['frames-0.png', 'frames-1.png', 'frames-2.png']) {
      expect(lstatSync(at(frame)).isFile()).toBe(true);
      expect(isPng(frame)).toBe(true);
    }
    // The end of a longer sequence goes, as ever.
    expect(readdirSync(folder).sort()).toEqual([
      ...['far', 'frames-0.png', 'frames-1.png', 'frames-2.png', 'link.jpg', 'second.jpg'],
    ]);
    expect(readdirSync(at('far'))).toEqual(['file.jpg']);
    expect(readFileSync(at('far/file.jpg'), 'utf8')).toBe('old');
  });

  it('are no folders, which are told before anything is drawn', async () => {
    mkdirSync(at('frames-3.png'));
    const said = await sequenceProblems({
      ...sequence,
      file: at('frames-%d.png'),
      overwrite: true,
    });
    expect(said).toEqual([
      {
        place: at('frames-3.png'),
        path: '',
        message: 'is a folder, named as a frame would be: move it, or choose another folder.',
      },
    ]);
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
