import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
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
  new Map(readdirSync(folder).map((name) => [name, readFileSync(at(name)).toString('base64')]));

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
    ['animated.webp', /^animated\.webp: .*(single|still) picture.* 2 frames/],
  ])('%s is refused in one sentence, and nothing is touched', async (file, complaint) => {
    const ended = await said(...wordsFor(command, file));
    expect(ended).toEqual({ complaint: expect.stringMatching(complaint) });
    expect(Object.values(ended).join('').split('\n')).toHaveLength(1);
    expect(contents()).toEqual(before);
  });
});

describe.each(['complete', 'mark', 'finish'])('orbreel master %s', (command) => {
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
      'strip.jpg',
      'strip.jpg: expected a master of the whole sphere, twice as wide as high, found 512x180: complete it to 2:1 first',
    ],
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
words.jpg: expected a photo (JPEG, TIFF, PNG, WebP, AVIF) or video (MP4, MOV), found something else`,
    });
    expect(contents()).toEqual(before);
  });

  it('finds false claims without failing', async () => {
    expect(await said('inspect', at('contradicting.jpg'))).toEqual({
      printed: expect.stringMatching(
        /\n {2}FALSE +place in the sphere .*512x999 at 0,400 of 512x256 .*says the picture is 512x999/,
      ),
    });
  });
});
