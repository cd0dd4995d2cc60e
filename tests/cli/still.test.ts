import sharp from 'sharp';
import { beforeEach, describe, expect, it } from 'vitest';
import { timeTakes } from '../../src/scene/time.js';
import { SHORT_SCENE, workFolder } from './support.js';

describe('orbreel still', () => {
  const folder = workFolder();
  beforeEach(() => folder.write('short.yaml', SHORT_SCENE));
  const still = (...words: string[]) => folder.run(['still', 'short.yaml', ...words]);

  it('writes a picture of each shape and says where', async () => {
    expect(await still('--at', '50%', '--shape', '64x32', '--shape', '32x48')).toEqual({
      code: 0,
      stderr: '',
      stdout: 'short-64x32-0.2s.png  64x32\nshort-32x48-0.2s.png  32x48\n',
    });
    const { format, width, height } = await sharp(folder.file('short-32x48-0.2s.png')).metadata();
    expect({ format, width, height }).toEqual({ format: 'png', width: 32, height: 48 });
    expect(await folder.names()).toEqual([
      'master.png',
      'short-32x48-0.2s.png',
      'short-64x32-0.2s.png',
      'short.yaml',
    ]);
  });

  it('shows the last frame at the very end', async () => {
    expect((await still('--at', '0.4', '--out', 'end.png', '--quiet')).stdout).toBe('');
    expect((await still('--at', '0.3', '--out', 'last.png')).stdout).toBe('last.png  64x32\n');
    const [end, last] = await Promise.all(
      ['end.png', 'last.png'].map((name) => sharp(folder.file(name)).raw().toBuffer()),
    );
    expect(end).toEqual(last);
  });

  it('replaces a file only with --overwrite', async () => {
    await folder.write('a.png', 'mine');
    expect(await still('--at', '0', '--out', 'a.png')).toEqual({
      code: 2,
      stdout: '',
      stderr: 'a.png: already exists: choose another name, or add --overwrite to replace it.\n',
    });
    expect(await folder.read('a.png')).toBe('mine');
    const ended = await still('--at', '0', '--out', 'a.png', '--overwrite');
    expect(ended).toEqual({ code: 0, stdout: 'a.png  64x32\n', stderr: '' });
    expect((await sharp(folder.file('a.png')).metadata()).width).toBe(64);
  });

  it.each([
    [
      ['--at', 'noon', '--quality', 'drft', '--shape', '63x32'],
      `--shape: takes even sides, found 63x32; 64x32 would do
--quality: takes draft, final or best, found 'drft'. Did you mean 'draft'?
--at: ${timeTakes}, found 'noon'
`,
    ],
    [['--at', '9'], "--at: takes a time from 0 to the scene's duration, 0.4 s, found 9 s\n"],
    [
      ['--at', '0', '--out', 'a.xyz'],
      "a.xyz: a still's name ends in one of .png, .jpg, .jpeg, .webp, .tif, .tiff, found .xyz.\n",
    ],
    [
      ['--at', '0', '--out', 'no/a.png'],
      'no/a.png: the folder no does not exist: make it first, or choose another.\n',
    ],
  ])('%j is wrong input and leaves nothing', async (words, stderr) => {
    expect(await still(...words)).toEqual({ code: 2, stdout: '', stderr });
    expect(await folder.names()).toEqual(['master.png', 'short.yaml']);
  });
});
