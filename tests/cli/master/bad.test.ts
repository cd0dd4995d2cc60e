import { lstatSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, it, vi } from 'vitest';
import { runCommandLine } from '../../../src/cli/program.js';
import { InputError } from '../../../src/errors.js';
import { badPictures } from './support.js';

// The command line itself, but in this process: so many children would take minutes.
let folder = '';
let before = new Map<string, string>();
const at = (name: string) => join(folder, name);
const contents = () =>
  new Map(
    readdirSync(folder, { recursive: true, encoding: 'utf8' }).map((name) => [
      name,
      lstatSync(at(name)).isDirectory() ? 'a folder' : readFileSync(at(name)).toString('base64'),
    ]),
  );

// A file without read permission, also for the superuser, who may read all.
vi.mock('node:fs/promises', async (original) => {
  const real = await original<typeof import('node:fs/promises')>();
  const open = (file: string, ...how: []) => {
    if (!String(file).endsWith('locked.jpg')) return real.open(file, ...how);
    const message = `EACCES: permission denied, open '${file}'`;
    return Promise.reject(Object.assign(new Error(message), { code: 'EACCES' }));
  };
  return { ...real, open };
});

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'orbreel-bad-'));
  await badPictures(at);
  before = contents();
});
afterAll(() => rmSync(folder, { recursive: true }));
afterEach(() => vi.restoreAllMocks());

/** What the command ends with: its complaint, without the folder's name, or what it printed. */
async function said(...words: string[]): Promise<{ complaint: string } | { printed: string }> {
  let printed = '';
  vi.spyOn(process.stdout, 'write').mockImplementation((text) => {
    printed += String(text);
    return true;
  });
  vi.spyOn(process.stderr, 'write').mockReturnValue(true);
  const plain = (text: string) => text.replaceAll(`${folder}/`, '');
  try {
    await runCommandLine(['master', ...words], new AbortController().signal);
    return { printed: plain(printed) };
  } catch (error) {
    expect(error).toBeInstanceOf(InputError);
    return { complaint: plain((error as InputError).message) };
  } finally {
    vi.restoreAllMocks();
  }
}

/** How each command that writes is given FILE. */
const COMMANDS: Readonly<Record<string, readonly string[]>> = {
  complete: ['--fill', 'colour', '--out', 'out.png'],
  level: ['--yaw', '3', '--out', 'out.png'],
  mark: ['--out', 'out.EXT'],
  finish: ['--keep', 'tilt', '--out', 'out.png'],
};

function wordsFor(command: string, file: string): string[] {
  const extension = file.slice(file.lastIndexOf('.') + 1);
  const words = COMMANDS[command]!.map((word) =>
    word.startsWith('out.') ? at(word.replace('EXT', extension)) : word,
  );
  return [command, at(file), ...words];
}

describe.each(Object.keys(COMMANDS))('orbreel master %s', (command) => {
  it.each([
    ['none.jpg', /^none\.jpg: .*there is no such file$/],
    ['truncated.jpg', /^truncated\.jpg: .*(cut off|cannot be read to its end).*premature end/],
    ['empty.jpg', /^empty\.jpg: .*empty/],
    [
      'words.jpg',
      /^words\.jpg: (expected .*, found something else|.*is not a picture|.*unsupported image format)/,
    ],
    ['gigantic.png', /^gigantic\.png: .*200,?000.*100,?000.*pixels/],
    ['animated.webp', /^animated\.webp: .*(single|still) picture.* 2 frames.*save one/],
    ['animated.gif', /^animated\.gif: .*(2 frames.*save one|GIF has no place .*save it as)/],
    ['header.jpg', /^header\.jpg: its JPEG header cannot be read .*export it again$/],
    ['folder.jpg', /^folder\.jpg: expected a photo or video, found a folder/],
    [
      'locked.jpg',
      /^locked\.jpg: expected a file that may be read, found that you lack the permission; give it/,
    ],
    [
      'video.jpg',
      /^video\.jpg: (expected a photo, found a video \(MP4\)|.*its content is MP4; rename it to end in \.mp4$)/,
    ],
  ])('%s is refused in one sentence, and nothing is touched', async (file, complaint) => {
    const ended = await said(...wordsFor(command, file));
    expect(ended).toEqual({ complaint: expect.stringMatching(complaint) });
    expect(Object.values(ended).join('').split('\n')).toHaveLength(1);
    expect(contents()).toEqual(before);
  });
});

describe.each(Object.keys(COMMANDS))('orbreel master %s', (command) => {
  const itself =
    command === 'mark'
      ? /^good\.jpg: already exists: .* --overwrite/
      : /^good\.jpg: is the master itself, which is never overwritten: give another name\.$/;
  it.each([
    ['missing/o.jpg', /^missing\/o\.jpg: the folder missing does not exist: make it first/],
    ['good.jpg', itself],
    ['grey.jpg', /^grey\.jpg: already exists: choose another name, or add --overwrite/],
    ['folder.jpg', /^folder\.jpg: is a folder: name a file\.$/],
    ['good.jpg/o.jpg', /^good\.jpg\/o\.jpg: the folder good\.jpg does not exist/],
    ['o.xyz', /^o\.xyz: expected an ending .*\.jpg.*, found "\.xyz"\.$/],
    ['o.mp4', /^o\.mp4: expected an ending .*\.jpg.*, found "\.mp4"\.$/],
    ['o', /^o: expected an ending .*\.jpg.*, found ""\.$/],
  ])('--out %s is refused in one sentence, and nothing is touched', async (out, complaint) => {
    const words = [...wordsFor(command, 'good.jpg').slice(0, -1), at(out)];
    expect(await said(...words)).toEqual({ complaint: expect.stringMatching(complaint) });
    expect(contents()).toEqual(before);
  });

  it('of an empty --out tells what is expected', async () => {
    const words = [...wordsFor(command, 'good.jpg').slice(0, -1), ''];
    expect(await said(...words)).toEqual({
      complaint: expect.stringMatching(/^the output: expected an ending .*\.jpg.*, found ""\.$/),
    });
    expect(contents()).toEqual(before);
  });
});

it.each(['complete', 'level', 'finish'])(
  '%s writes over the master neither by a link nor by another spelling, also with --overwrite',
  async (command) => {
    for (const [file, out] of [
      ['linked.jpg', 'good.jpg'],
      ['good.jpg', 'linked.jpg'],
      ['good.jpg', 'folder.jpg/../good.jpg'],
    ] as const) {
      const words = [...wordsFor(command, file).slice(0, -1), `${folder}/${out}`, '--overwrite'];
      expect(await said(...words)).toEqual({
        complaint: `${out}: is the master itself, which is never overwritten: give another name.`,
      });
    }
    expect(contents()).toEqual(before);
  },
);

/** The commands that each offers for a picture of unknown place. */
const printed = new Map<string, string[]>();

describe.each(Object.keys(COMMANDS))('orbreel master %s', (command) => {
  it('of a picture that is not 2:1 and says nothing tells the choices', async () => {
    const ended = await said(...wordsFor(command, 'strip.jpg'));
    expect(ended).toEqual({
      complaint: expect.stringMatching(
        /^strip\.jpg: expected a whole sphere, twice as wide as high, found 512x180 and no metadata that say where it lies\. Choose:\n/,
      ),
    });
    const { complaint } = ended as { complaint: string };
    const commands = complaint.split('\n').filter((line) => line.startsWith('    orbreel'));
    expect(commands.length).toBeGreaterThanOrEqual(3);
    expect(contents()).toEqual(before);
    printed.set(command, commands);
    expect(contents()).toEqual(before);
  });
});

describe('the commands offered for a picture of unknown place', () => {
  it('run as printed, their capitals filled in', async () => {
    const filled = (printed.get('complete') ?? []).map((command) =>
      command
        .trim()
        .replace('--across DEG', '--across 359.9')
        .replace('--top DEG', '--top 60')
        .replace('--bottom DEG', '--bottom -60')
        .replace('ROW', '90')
        .replace('WxH', '512x256')
        .replace('X,Y', '0,30')
        .replace('FILE', at('chosen.png'))
        .replace('strip.jpg', at('strip.jpg')),
    );
    expect(filled).toHaveLength(7);
    for (const command of new Set(filled)) {
      const [, , ...words] = command.split(' ');
      if (words[0] === 'complete') words.push('--fill', 'colour');
      expect(await said(...words)).toEqual({ printed: expect.any(String) });
      rmSync(at('chosen.png'), { force: true });
      writeFileSync(at('strip.jpg'), Buffer.from(before.get('strip.jpg')!, 'base64'));
    }
    expect(contents()).toEqual(before);
  });

  it('are the same for level, and those of finish itself for finish', () => {
    const complete = printed.get('complete') ?? [];
    expect(printed.get('level')).toEqual(complete);
    const finish = complete.map((line) => line.replace('master complete', 'master finish'));
    expect(printed.get('finish')).toEqual(finish);
    const mark = complete.map((line) =>
      line.replace('master complete', 'master mark').replace('--out FILE', '--overwrite'),
    );
    expect(printed.get('mark')).toEqual(mark);
  });
});

describe('orbreel master complete, of a bad mask or patch', () => {
  it.each([
    ['none.jpg', /^none\.jpg: there is no such file$/],
    ['empty.jpg', /^empty\.jpg: the file is empty \(0 bytes\); copy it again/],
    ['folder.jpg', /^folder\.jpg: expected a photo .*, found a folder/],
    ['locked.jpg', /^locked\.jpg: .* you lack the permission; give it/],
    ['words.jpg', /^words\.jpg: expected a (photo|picture for the patch)/],
    ['truncated.jpg', /^truncated\.jpg: .*premature end of JPEG image\); (copy|save)/],
    ['gigantic.png', /^gigantic\.png: .*(claims 200000x100000|exceeds pixel limit)/],
    ['clip.mp4', /^clip\.mp4: expected a picture/],
  ])('%s is refused in one sentence, and nothing is touched', async (file, complaint) => {
    for (const option of ['--mask', '--patch']) {
      const words = [...wordsFor('complete', 'grey.jpg'), option, at(file)];
      expect(await said(...words)).toEqual({ complaint: expect.stringMatching(complaint) });
    }
    expect(contents()).toEqual(before);
  });
});

describe('pictures that are unusual but right', () => {
  it.each([
    ['complete', 'named.jpg'],
    ['complete', 'palette.png'],
    ['complete', 'grey.jpg'],
    ['complete', 'contradicting.jpg'],
    ['finish', 'named.jpg'],
    ['finish', 'palette.png'],
    ['finish', 'grey.jpg'],
    ['finish', 'contradicting.jpg'],
    ['mark', 'contradicting.jpg'],
    ['mark', 'cmyk.jpg'],
  ])('%s works on %s', async (command, file) => {
    const words = wordsFor(command, file);
    expect(await said(...words)).toEqual({ printed: expect.stringContaining('out.') });
    const out = words.at(-1)!;
    expect(readdirSync(folder).sort()).toEqual(
      [...before.keys(), out.slice(folder.length + 1)].sort(),
    );
    rmSync(out);
    expect(contents()).toEqual(before);
  });

  it.each([
    ['complete', 'cmyk.jpg', 'cmyk.jpg: expected RGB or grey, found CMYK; convert it to sRGB.'],
    ['level', 'cmyk.jpg', 'cmyk.jpg: expected RGB or grey, found CMYK; convert it to sRGB.'],
    ['finish', 'cmyk.jpg', 'cmyk.jpg: expected RGB or grey, found CMYK; convert it to sRGB.'],
    [
      'mark',
      'named.jpg',
      'named.jpg: the name says otherwise, but its content is PNG; rename it to end in .png',
    ],
    [
      'level',
      'still.gif',
      'still.gif: expected JPEG, PNG, TIFF, WebP or AVIF, found gif; save it as one of these first.',
    ],
    [
      'level',
      'placed.jpg',
      'placed.jpg: expected a whole sphere, twice as wide as high, found 512x180, a part of one; complete it first: orbreel master complete placed.jpg --out FILE',
    ],
    ...['complete', 'level', 'finish'].flatMap((command) => [
      [
        command,
        'turned.jpg',
        "turned.jpg: expected a picture that is stored upright, found 512x256 to be turned to 256x512 (EXIF's orientation 6); export it upright, without this tag.",
      ],
      [
        command,
        'clip.mp4',
        "clip.mp4: expected a photo, found a video (MP4): 'orbreel master inspect' and 'orbreel master mark' are for videos too",
      ],
    ]),
  ])('%s refuses %s', async (command, file, complaint) => {
    expect(await said(...wordsFor(command, file))).toEqual({ complaint });
    expect(contents()).toEqual(before);
  });
});

describe('orbreel master inspect', () => {
  it('reports on what can be read, and then tells what cannot', async () => {
    const files = ['strip.jpg', 'truncated.jpg', 'cmyk.jpg', 'animated.webp', 'words.jpg'];
    const ended = await said('inspect', ...files.map(at));
    expect(ended).toEqual({
      complaint: `truncated.jpg: the picture is damaged or cut off (VipsJpeg: premature end of JPEG image); copy or export it again from its source
words.jpg: expected a photo (JPEG, TIFF, PNG, WebP, AVIF) or video (MP4, MOV, WebM, Matroska), found something else`,
    });
    expect(contents()).toEqual(before);
  });

  it.each([
    ['none.jpg', 'none.jpg: there is no such file'],
    ['empty.jpg', 'empty.jpg: the file is empty (0 bytes); copy it again from its source'],
    ['header.jpg', /^header\.jpg: its JPEG header cannot be read .*export it again$/],
    ['gigantic.png', /^gigantic\.png: its header claims 200000x100000 pixels .*damaged/],
    ['folder.jpg', 'folder.jpg: expected a photo or video, found a folder or device'],
    ['locked.jpg', /^locked\.jpg: expected a file that may be read, found that you lack/],
  ])('tells in one sentence what is wrong with %s', async (file, complaint) => {
    expect(await said('inspect', at(file))).toEqual({
      complaint: typeof complaint === 'string' ? complaint : expect.stringMatching(complaint),
    });
    expect(contents()).toEqual(before);
  });

  it.each([
    ['animated.gif', 'It holds 2 frames or pages: save one of them as'],
    ['animated.webp', 'It holds 2 frames or pages: save one of them as'],
    ['still.gif', 'Save it as JPEG, TIFF, PNG, WebP or AVIF, and go on with that.'],
  ])('names no command that would refuse %s', async (file, step) => {
    const { printed } = (await said('inspect', at(file))) as { printed: string };
    expect(printed).toContain(`next:\n  ${step}`);
    expect(printed).not.toContain('orbreel master');
  });

  it.each([
    ['clip.mp4', 'orbreel master mark clip.mp4 --overwrite'],
    ['video.jpg', 'Rename it to video.mp4, and mark it rightly: orbreel master mark video.mp4'],
    ['named.jpg', 'Rename it to named.png, and mark it rightly: orbreel master mark named.png'],
  ])('names those that take %s, if need be renamed', async (file, step) => {
    const { printed } = (await said('inspect', at(file))) as { printed: string };
    expect(printed).toContain(step);
    expect(printed).not.toMatch(/orbreel master (complete|level) \S*\.(mp4|jpg)/);
  });

  it('finds false claims without failing', async () => {
    expect(await said('inspect', at('contradicting.jpg'))).toEqual({
      printed: expect.stringMatching(
        /\n {2}FALSE +place in the sphere .*512x999 at 0,400 of 512x256 .*says the picture is 512x999/,
      ),
    });
  });
});
