import { readFileSync } from 'node:fs';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { workFolder } from '../support.js';
import {
  asPicture,
  CAMERA,
  crop,
  decoded,
  HEIGHT,
  rowsOfSphere,
  spherePixels,
  tag,
  tagOf,
  WIDTH,
} from './support.js';

const ROW = 3 * WIDTH;

describe('orbreel master complete', () => {
  const folder = workFolder();
  const complete = (...words: string[]) => folder.run(['master', 'complete', ...words]);

  it('places by the metadata, keeps what is known and what the camera wrote, and says it is whole', async () => {
    const file = folder.file('part.tif');
    await (await rowsOfSphere(40, 180)).withIccProfile('p3').tiff().toFile(file);
    tag(file, ...CAMERA, ...crop(180, 40));
    const before = await decoded(file);
    // Caps above 61.875 and below -64.6875 degrees: (1 - sin 61.875°) / 2 + (1 - sin 64.6875°) / 2.
    const { code, stdout, stderr } = await complete('part.tif', '--out', 'whole.tif');
    expect(stdout.split('\n')[0]).toBe(
      'whole.tif  512x256, the 512x180 picture at 0,40: 2 holes, 10.7 % of the sphere, filled (texture)',
    );
    expect(stdout).toContain('note: Its metadata tell where it was taken: --strip-place removes');
    expect(stderr).toMatch(/whole\.tif: 100%\n$/);
    expect(code).toBe(0);
    const whole = folder.file('whole.tif');
    const after = await decoded(whole);
    expect(after.length).toBe(HEIGHT * ROW);
    expect(after.subarray(40 * ROW, 220 * ROW).equals(before)).toBe(true);
    expect(tagOf(whole, 'DateTimeOriginal')).toBe('2026:05:01 06:10:00');
    expect(tagOf(whole, 'Model')).toBe('Balloon 360');
    expect(tagOf(whole, 'GPSLatitude')).toBe(46.5);
    expect(tagOf(whole, 'ICC_Profile:ProfileDescription')).toBe(
      tagOf(file, 'ICC_Profile:ProfileDescription'),
    );
    expect(tagOf(whole, 'XMP-GPano:CroppedAreaImageHeightPixels')).toBe(HEIGHT);
    expect(tagOf(whole, 'XMP-GPano:CroppedAreaTopPixels')).toBe(0);
    expect(await folder.names()).toEqual(['master.png', 'part.tif', 'whole.tif']);
  });

  it('with nothing to fill, a JPEG is only marked, and a mask that marks nothing is told of', async () => {
    await asPicture(await spherePixels())
      .jpeg({ quality: 70 })
      .toFile(folder.file('lossy.jpg'));
    const black = { width: WIDTH, height: HEIGHT, channels: 3, background: '#000' } as const;
    await sharp({ create: black }).png().toFile(folder.file('mask.png'));
    const { code, stdout } = await complete(
      ...['lossy.jpg', '--mask', 'mask.png', '--out', 'same.jpg'],
    );
    expect(code).toBe(0);
    expect(stdout).toContain(
      'note: The sphere was whole already, and the mask marks nothing: white is what is filled.',
    );
    const [before, after] = [folder.file('lossy.jpg'), folder.file('same.jpg')];
    expect(await decoded(after)).toEqual(await decoded(before));
    expect(tagOf(after, 'XMP-GPano:FullPanoWidthPixels')).toBe(WIDTH);
    expect((await complete('lossy.jpg', '--quality', '30', '--out', 'small.jpg')).code).toBe(0);
    expect(await decoded(folder.file('small.jpg'))).not.toEqual(await decoded(before));
  });

  it('a middle part of the sphere is not taken for a small copy of it', async () => {
    // Half the sphere's width and height: 2:1 itself, so that only the metadata tell.
    const [left, top] = [WIDTH / 4, HEIGHT / 4];
    const area = { left, top, width: WIDTH / 2, height: HEIGHT / 2 };
    const file = folder.file('middle.png');
    await asPicture(await spherePixels())
      .extract(area)
      .png()
      .toFile(file);
    tag(file, ...crop(HEIGHT / 2, top));
    tag(file, `-XMP-GPano:CroppedAreaImageWidthPixels=${WIDTH / 2}`);
    tag(file, `-XMP-GPano:CroppedAreaLeftPixels=${left}`);
    const { code, stdout, stderr } = await complete(
      'middle.png',
      '--out',
      'whole.png',
      '--fill',
      'colour',
    );
    expect([code, stderr.includes('Error')]).toEqual([0, false]);
    expect(stdout).toMatch(/^whole\.png {2}512x256, the 256x128 picture at 128,64: 1 hole, /);
    const whole = folder.file('whole.png');
    expect(await sharp(whole).extract(area).raw().toBuffer()).toEqual(
      await sharp(file).raw().toBuffer(),
    );
    expect(tagOf(whole, 'XMP-GPano:FullPanoWidthPixels')).toBe(WIDTH);
    expect(tagOf(whole, 'XMP-GPano:CroppedAreaImageWidthPixels')).toBe(WIDTH);
  });

  it('the row of the horizon, a latitude and the place in pixels place it alike', async () => {
    await (await rowsOfSphere(64, 128)).png().toFile(folder.file('part.png'));
    const placed = async (...words: string[]) => {
      const out = ['--out', 'a.png', '--fill', 'colour', '--overwrite', '--json', '--quiet'];
      const { code, stdout, stderr } = await complete('part.png', ...words, ...out);
      expect([code, stderr]).toEqual([0, '']);
      return JSON.parse(stdout).placed;
    };
    const place = { left: 0, top: 64, width: WIDTH, height: 128 };
    expect(await placed('--horizon', '64')).toEqual(place);
    expect(await placed('--top', '45', '--bottom', '-45')).toEqual(place);
    const pixels = ['--full', '512x256', '--at', '0,64'];
    expect(await placed(...pixels)).toEqual(place);
  });

  it('fills a black cap that it finds, in a colour of yours if you like', async () => {
    const capped = Buffer.from(await spherePixels());
    capped.fill(0, 200 * ROW);
    await asPicture(capped).png().toFile(folder.file('capped.png'));
    const words = ['--fill', 'colour', '--colour', '#306090', '--quiet'];
    const ended = await complete('capped.png', '--out', 'whole.png', ...words);
    expect(ended).toEqual({ code: 0, stdout: '', stderr: '' });
    const after = await decoded(folder.file('whole.png'));
    expect([...after.subarray(-3)]).toEqual([0x30, 0x60, 0x90]);
    const known = 190 * ROW;
    expect(after.subarray(0, known).equals(capped.subarray(0, known))).toBe(true);
    expect(after.subarray(200 * ROW).indexOf(Buffer.from([0, 0, 0]))).toBe(-1);
  });

  it('fills what is transparent, and of a PNG no pixel more', async () => {
    const known = await spherePixels();
    const rgba = Buffer.alloc((known.length / 3) * 4, 255);
    const isHole = (i: number) => i < 30 * WIDTH || i >= 226 * WIDTH;
    for (let i = 0; i < known.length / 3; i++) {
      known.copy(rgba, 4 * i, 3 * i, 3 * i + 3);
      if (isHole(i)) rgba.fill(0, 4 * i, 4 * i + 4);
    }
    const raw = { width: WIDTH, height: HEIGHT, channels: 4 } as const;
    await sharp(rgba, { raw }).png().toFile(folder.file('holes.png'));
    const words = ['--fill', 'colour', '--colour', '#306090', '--json', '--quiet'];
    const { code, stdout } = await complete('holes.png', '--out', 'whole.png', ...words);
    expect(code).toBe(0);
    // The caps above and below 68.90625 degrees: 1 - sin 68.90625°.
    expect(1 - JSON.parse(stdout).known).toBeCloseTo(0.067, 3);
    const after = await decoded(folder.file('whole.png'));
    expect(after.subarray(30 * ROW, 226 * ROW).equals(known.subarray(30 * ROW, 226 * ROW))).toBe(
      true,
    );
  });

  it('a mask says what to fill, and a patch lies on the nadir', async () => {
    const mask = Buffer.alloc(WIDTH * HEIGHT * 3);
    for (let y = 100; y < 120; y++) mask.fill(255, y * ROW + 300, y * ROW + 400);
    await asPicture(mask).png().toFile(folder.file('mask.png'));
    await asPicture(await spherePixels())
      .png()
      .toFile(folder.file('valley.png'));
    await sharp({ create: { width: 64, height: 64, channels: 3, background: '#c02040' } })
      .png()
      .toFile(folder.file('patch.png'));
    const words = ['--mask', 'mask.png', '--patch', 'patch.png', '--patch-radius', '20'];
    const { code, stdout } = await complete('valley.png', '--out', 'whole.png', ...words);
    expect(stdout.split('\n')[0]).toMatch(
      /^whole\.png {2}512x256: 1 hole, 0\.\d+ % .*, patch laid$/,
    );
    expect(code).toBe(0);
    const [before, after] = [await spherePixels(), await decoded(folder.file('whole.png'))];
    expect([...after.subarray(-3)]).toEqual([0xc0, 0x20, 0x40]);
    expect(after.subarray(0, 100 * ROW).equals(before.subarray(0, 100 * ROW))).toBe(true);
    expect(after.subarray(110 * ROW, 111 * ROW).equals(before.subarray(110 * ROW, 111 * ROW))).toBe(
      false,
    );
  });

  it('without a place, says the choices and the command for each', async () => {
    await (await rowsOfSphere(0, 180)).jpeg().toFile(folder.file('strip.jpg'));
    const before = readFileSync(folder.file('strip.jpg'));
    expect(await complete('strip.jpg', '--out', 'whole.jpg')).toEqual({
      code: 2,
      stdout: '',
      stderr: `strip.jpg: expected a whole sphere, twice as wide as high, found 512x180 and no metadata that say where it lies. Choose:
  the latitude of its upper or lower edge is known (all round, it covers 126.6 degrees of height):
    orbreel master complete strip.jpg --top DEG --out FILE
    orbreel master complete strip.jpg --bottom DEG --out FILE
  the row of the horizon is known, in pixels from its top:
    orbreel master complete strip.jpg --horizon ROW --out FILE
  the whole sphere's size in pixels is known, and how far from its left and top edges this picture's are:
    orbreel master complete strip.jpg --full WxH --at X,Y --out FILE
  it does not go all round, but is so many degrees of longitude wide:
    orbreel master complete strip.jpg --across DEG --top DEG --out FILE
    orbreel master complete strip.jpg --across DEG --horizon ROW --out FILE
  it is a flat picture, no part of a sphere: remove what claims otherwise:
    orbreel master mark strip.jpg --flat --overwrite
`,
    });
    expect(await folder.names()).toEqual(['master.png', 'strip.jpg']);
    expect(readFileSync(folder.file('strip.jpg')).equals(before)).toBe(true);
  });

  it.each([
    [
      ['--out', 'a.png', '--top', '91', '--fill', 'sky', '--colour', 'blue', '--seed', '1.5'],
      `--top: takes degrees of latitude from -90 to 90, found '91'
--fill: takes texture, smooth, colour, patch, found 'sky'
--colour: takes a colour such as #4080c0, found 'blue'
--seed: takes a whole number from 0 to 2147483647, found '1.5'
`,
    ],
    [
      ['--out', 'a.png', '--across', '90'],
      '--across: needs --top, --bottom or --horizon beside it\n',
    ],
    [['--out', 'a.png', '--fill', 'patch'], '--patch: is missing: the picture for --fill patch\n'],
    [['--out', 'a.png', '--colour', '#112233'], '--colour: needs --fill colour beside it\n'],
    [
      ['--out', 'master.png'],
      'master.png: is the master itself, which is never overwritten: give another name.\n',
    ],
    [
      ['--out', 'a.bmp'],
      'a.bmp: expected an ending from .jpg, .png, .tif, .webp, .avif, .jpeg, .tiff, found ".bmp".\n',
    ],
    [
      ['--out', 'no/a.png'],
      'no/a.png: the folder no does not exist: make it first, or choose another.\n',
    ],
    [
      ['--out', 'a.png', '--top', '60'],
      /^master\.png: expected the 256x128 picture to lie within the 256x128 sphere, found it at left 0, top 21/,
    ],
  ])('%j is wrong input and leaves nothing', async (words, said) => {
    const { code, stdout, stderr } = await complete('master.png', ...words);
    expect([code, stdout]).toEqual([2, '']);
    if (typeof said === 'string') expect(stderr).toBe(said);
    else expect(stderr).toMatch(said);
    expect(await folder.names()).toEqual(['master.png']);
  });

  it('replaces a file only with --overwrite', async () => {
    await folder.write('a.png', 'mine');
    expect((await complete('master.png', '--out', 'a.png')).stderr).toBe(
      'a.png: already exists: choose another name, or add --overwrite to replace it.\n',
    );
    expect(await folder.read('a.png')).toBe('mine');
  });

  it('Ctrl-C leaves nothing', async () => {
    await (await rowsOfSphere(40, 180)).resize(1024, 360).png().toFile(folder.file('part.png'));
    let asked = false;
    const { code, stderr } = await folder.run(
      ['master', 'complete', 'part.png', '--top', '61.875', '--out', 'whole.png'],
      {
        onStderr: (text, stop) => {
          if (text.includes('(filling)') && !asked) stop('SIGINT');
          asked ||= text.includes('(filling)');
        },
      },
    );
    expect([code, stderr.endsWith('Interrupted.\n')]).toEqual([130, true]);
    expect(await folder.names()).toEqual(['master.png', 'part.png']);
  });
});
