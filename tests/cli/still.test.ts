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

  it('draws guides over the still, and nothing else, where asked', async () => {
    await folder.write(
      'marks.yaml',
      `master: master.png
duration: 1
outputs: [300x300]
marks: { mill: { yaw: 30, pitch: 10 } }
keyframes:
  - { at: 0, look: mill, place: [0.7, 0.4], fov: 80 }
`,
    );
    const draw = async (file: string, ...words: string[]) => {
      const run = await folder.run(['still', 'marks.yaml', '--at', '0', '--out', file, ...words]);
      expect(run).toEqual({ code: 0, stdout: `${file}  300x300\n`, stderr: '' });
      return sharp(folder.file(file)).raw().toBuffer();
    };
    const bare = await draw('bare.png');
    const guided = await draw('guided.png', '--guides');
    const at = (pixels: Buffer, x: number, y: number) => [
      ...pixels.subarray(3 * (300 * y + x)).subarray(0, 3),
    ];
    // Within the safe area, off all lines: the picture's own pixels.
    for (const [x, y] of [
      [50, 60],
      [150, 150],
      [250, 230],
    ] as const) {
      expect(at(guided, x, y)).toEqual(at(bare, x, y));
    }
    // The mark's spot, at 0.7 and 0.4 of the frame, is amber; the margin (6 % at the top) is darker.
    for (const [index, value] of [255, 194, 71].entries()) {
      expect(Math.abs(at(guided, 210, 120)[index]! - value)).toBeLessThan(12);
    }
    for (const [index, value] of at(guided, 150, 5).entries()) {
      expect(value).toBeLessThan(Math.max(20, at(bare, 150, 5)[index]!));
    }
    // A line of thirds.
    expect(at(guided, 100, 150)).not.toEqual(at(bare, 100, 150));
  });

  it.each([
    [
      ['--at', '0', '--guides', '--depth', '16'],
      '--guides: takes no --depth 16: guides are drawn in 8 bits\n',
    ],
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
