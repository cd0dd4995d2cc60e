import { copyFile, mkdir, readdir } from 'node:fs/promises';
import { ExifTool } from 'exiftool-vendored';
import { describe, expect, it } from 'vitest';
import { orbreel, workFolder } from './support.js';

const folder = workFolder();
const run = (...words: string[]) => orbreel(folder.path, ['page', ...words]);

interface Data {
  readonly title: string;
  readonly start: { readonly yaw: number; readonly pitch: number; readonly fov: number };
  readonly moves: readonly unknown[];
  readonly picture: { readonly side: number; readonly columns: number };
}

async function dataIn(file: string): Promise<Data> {
  const html = await folder.read(file);
  return JSON.parse(/id="data">(.*?)<\/script>/su.exec(html)![1]!);
}

describe('orbreel page', () => {
  it('makes one file, says its name, and replaces it only when told to', async () => {
    const words = [
      'master.png',
      '--out',
      'page.html',
      '--title',
      'A </script> title',
      '--start',
      '30,-5,60',
    ];
    expect(await run(...words)).toMatchObject({ code: 0, stdout: 'page.html\n' });
    const { title, start, picture } = await dataIn('page.html');
    expect(title).toBe('A </script> title');
    expect(start).toEqual({ yaw: 30, pitch: -5, fov: 60 });
    expect(picture.side * picture.columns).toBe(256);
    const again = await run(...words);
    expect(again).toMatchObject({ code: 2, stdout: '' });
    expect(again.stderr).toContain('page.html: already exists');
    expect(await run(...words, '--overwrite', '--quiet')).toEqual({
      code: 0,
      stdout: '',
      stderr: '',
    });
    expect((await readdir(folder.path)).sort()).toEqual(['master.png', 'page.html']);
  });

  it('takes the initial view of a photo, and nothing that tells a place or a camera', async () => {
    const photo = folder.file('photo.jpg');
    const { default: sharp } = await import('sharp');
    await sharp(folder.file('master.png')).jpeg().toFile(photo);
    const exiftool = new ExifTool();
    try {
      await exiftool.write(
        photo,
        {
          GPSLatitude: 47.5615,
          GPSLongitude: 13.6493,
          Make: 'Windmill Optics',
          Artist: 'The Miller',
          'XMP-GPano:ProjectionType': 'equirectangular',
          'XMP-GPano:PoseHeadingDegrees': 200,
          'XMP-GPano:InitialViewHeadingDegrees': 350,
          'XMP-GPano:InitialViewPitchDegrees': -12,
          'XMP-GPano:InitialHorizontalFOVDegrees': 100,
        } as never,
        { writeArgs: ['-n', '-overwrite_original'] },
      );
    } finally {
      await exiftool.end();
    }
    expect(await run('photo.jpg', '--out', 'page.html', '--quiet')).toMatchObject({ code: 0 });
    // 350 degrees from north, the picture's centre at 200; 100 degrees across 16:9 are 67.7 down it:
    // 2 atan(tan(50 degrees) 9 / 16).
    expect((await dataIn('page.html')).start).toEqual({ yaw: 150, pitch: -12, fov: 67.7 });
    const html = await folder.read('page.html');
    const tiles = [...html.matchAll(/id="t[\d-]+">([^<]*)</gu)].map(([, text]) => text!);
    expect(tiles.length).toBeGreaterThan(2);
    const bytes = html + tiles.map((text) => Buffer.from(text, 'base64').toString('latin1')).join();
    for (const secret of [
      '47.56',
      '13.64',
      'Windmill',
      'Miller',
      'photo',
      'Exif',
      'EXIF',
      'XMP',
      'ICCP',
    ]) {
      expect(bytes.includes(secret), secret).toBe(false);
    }
  });

  it('makes a page of a scene, and of one with several shots over one master', async () => {
    await folder.write(
      'scene.yaml',
      'master: master.png\nduration: 1\nfps: 10\noutputs: [320x180]\nkeyframes:\n  - { at: 0, yaw: 0, fov: 90 }\n  - { at: 1, yaw: 40, pitch: 5, fov: 60 }\n',
    );
    expect(await run('scene.yaml', '--out', 'page.html', '--quiet')).toMatchObject({ code: 0 });
    const { start, moves } = await dataIn('page.html');
    expect(moves).toHaveLength(1);
    expect(start.yaw).toBeCloseTo(40, 3);
    expect(start.fov).toBeCloseTo(60, 3);
    await folder.write(
      'shots.yaml',
      'fps: 10\noutputs: [320x180]\nshots:\n  - { master: master.png, duration: 1, keyframes: [{ at: 0, yaw: 0 }] }\n  - { master: master.png, duration: 1, keyframes: [{ at: 0, yaw: -70 }] }\n',
    );
    expect(await run('shots.yaml', '--out', 'shots.html', '--quiet')).toMatchObject({ code: 0 });
    const shots = await dataIn('shots.html');
    expect(shots.moves).toMatchObject([{ runs: [{ count: 10 }, { count: 11 }] }]);
    expect(shots.start.yaw).toBeCloseTo(-70, 3);
  });

  it('makes a folder with tiles, also where an earlier page of it lies', async () => {
    const { default: sharp } = await import('sharp');
    await sharp(folder.file('master.png'))
      .resize(2048, 1024)
      .png()
      .toFile(folder.file('large.png'));
    expect(await run('large.png', '--folder', 'site')).toMatchObject({ code: 0, stdout: 'site\n' });
    const tiles = await readdir(folder.file('site/tiles'));
    // 2048 texels across: 4 by 2 tiles; the coarser levels are in the page.
    expect(tiles.sort()).toEqual(
      [0, 1, 2, 3].flatMap((column) => [0, 1].map((row) => `0-${column}-${row}.js`)).sort(),
    );
    expect((await run('large.png', '--folder', 'site')).stderr).toContain('already holds a page');
    expect(await run('master.png', '--folder', 'site', '--overwrite')).toMatchObject({ code: 0 });
    expect(await readdir(folder.file('site/tiles'))).toEqual([]);
    expect((await readdir(folder.path)).filter((name) => name.startsWith('.'))).toEqual([]);
  });

  it('leaves a folder alone that holds anything else', async () => {
    await mkdir(folder.file('site'));
    await copyFile(folder.file('master.png'), folder.file('site/holiday.png'));
    const { code, stderr } = await run('master.png', '--folder', 'site', '--overwrite');
    expect(code).toBe(2);
    expect(stderr).toContain('site: holds other files (holiday.png)');
    expect(await readdir(folder.file('site'))).toEqual(['holiday.png']);
  });

  it.each([
    [[], '--out: is missing: say where the page goes, such as page.html'],
    [['--out', 'page.pdf'], "--out: takes a file that ends in .html, found 'page.pdf'"],
    [['--out', 'a.html', '--folder', 'b'], '--folder: takes the place of --out: give one of them'],
    [['--out', 'none/a.html'], 'the folder none does not exist'],
    [
      ['--out', 'a.html', '--width', '12'],
      '--width: takes a whole number of pixels from 256 to 32768',
    ],
    [['--out', 'a.html', '--start', '1,2'], '--start: takes yaw,pitch,fov in degrees'],
    [['--out', 'a.html', '--start', '0,95,75'], "found '0,95,75'"],
  ])('tells what is wrong with %j', async (words, sentence) => {
    const { code, stdout, stderr } = await run('master.png', ...words);
    expect({ code, stdout }).toEqual({ code: 2, stdout: '' });
    expect(stderr).toContain(sentence);
    expect(await readdir(folder.path)).toEqual(['master.png']);
  });

  it('tells what is wrong with what it is to show', async () => {
    await folder.write(
      'two.yaml',
      `shots:
  - { master: master.png, duration: 1, keyframes: [{ at: 0, yaw: 0 }] }
  - { master: other.png, duration: 1, keyframes: [{ at: 0, yaw: 0 }] }
`,
    );
    await copyFile(folder.file('master.png'), folder.file('other.png'));
    const two = await run('two.yaml', '--out', 'page.html');
    expect(two.code).toBe(2);
    expect(two.stderr).toContain('a page shows one master, found 2 (master.png, other.png)');
    expect((await run('none.jpg', '--out', 'page.html')).stderr).toContain('there is no such file');
    expect((await readdir(folder.path)).includes('page.html')).toBe(false);
  });
});
