import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { photo } from '../../support/photos.js';
import { workFolder } from '../support.js';
import { asPicture, CAMERA, decoded, tag, tagOf } from './support.js';

describe('orbreel master level', () => {
  const folder = workFolder();
  const level = (...words: string[]) => folder.run(['master', 'level', ...words]);
  const real = async (name: 'dawn' | 'sky') =>
    asPicture(Buffer.from((await photo(name)).data))
      .png()
      .toFile(folder.file(`${name}.png`));

  it('turns as told: 90 degrees of yaw move the columns by a quarter', async () => {
    const { code, stdout } = await level('master.png', '--yaw', '90', '--out', 'east.png');
    expect([code, stdout]).toEqual([0, 'east.png  turned by yaw 90.0°, pitch 0.0°, roll 0.0°\n']);
    const [before, after] = [folder.file('master.png'), folder.file('east.png')];
    const half = (file: string, left: number) =>
      sharp(file).extract({ left, top: 0, width: 192, height: 128 }).raw().toBuffer();
    expect((await half(after, 0)).equals(await half(before, 64))).toBe(true);
  });

  it('finds the lean by itself, restates the pose and keeps what the camera wrote', async () => {
    await real('dawn');
    await level('dawn.png', '--pitch', '5', '--roll', '-4', '--out', 'lean.tif');
    tag(folder.file('lean.tif'), ...CAMERA, '-XMP-GPano:PosePitchDegrees=5');
    tag(folder.file('lean.tif'), '-XMP-GPano:PoseHeadingDegrees=137');
    const { code, stdout, stderr } = await level('lean.tif', '--auto', '--out', 'level.tif');
    expect(stdout).toMatch(
      /^level\.tif {2}turned by .*: it leaned by pitch [5-8]\.\d°, roll -[3-5]\.\d°; confidence 0\.\d\d\n$/,
    );
    expect(stderr).toMatch(/level\.tif: 100%\n$/);
    expect(code).toBe(0);
    const file = folder.file('level.tif');
    expect(tagOf(file, 'XMP-GPano:PosePitchDegrees')).toBe(0);
    expect(tagOf(file, 'XMP-GPano:PoseHeadingDegrees')).toBe(137);
    expect(tagOf(file, 'DateTimeOriginal')).toBe('2026:05:01 06:10:00');

    const again = await level('level.tif', '--auto', '--out', 'again.tif');
    expect(again.stdout).toMatch(
      /^level\.tif: stands level already \(confidence .*\)\. Nothing was written\.\n$/,
    );
    expect(again.code).toBe(0);
    expect(await folder.names()).toEqual(['dawn.png', 'lean.tif', 'level.tif', 'master.png']);
  });

  it('does nothing when unsure, and fails for scripts to notice', async () => {
    await real('sky');
    const { code, stdout, stderr } = await level('sky.png', '--auto', '--out', 'a.png', '--quiet');
    expect([code, stdout]).toEqual([1, '']);
    expect(stderr).toMatch(
      /^sky\.png: left alone, unsure how it leans \(confidence 0\.\d\d\): .*\. Nothing was written\.\n$/,
    );
    expect(await folder.names()).toEqual(['master.png', 'sky.png']);
  });

  it('takes points on the horizon, in degrees or pixels', async () => {
    // The horizon of a camera that looked 5 degrees up: 5 degrees below the centre, above it behind.
    const words = [
      '--point',
      '0,-5',
      '--point',
      '90,0',
      '--pixel',
      '0,60.4444',
      '--json',
      '--quiet',
    ];
    const { code, stdout, stderr } = await level('master.png', ...words, '--out', 'a.png');
    expect([code, stderr]).toEqual([0, '']);
    const { status, lean, turn, fit } = JSON.parse(stdout);
    expect(status).toBe('turned');
    expect(lean.pitch).toBeCloseTo(5, 1);
    expect(turn.pitch).toBeCloseTo(-5, 1);
    expect(fit.points).toBe(3);
  });

  it.each([
    [
      [],
      'How to turn it is missing: give --auto, --point twice or more, --yaw, --pitch or --roll, or --north.\n',
    ],
    [
      ['--yaw', '361', '--point', '0', '--pixel', 'x,4', '--north', '360'],
      `--yaw: takes degrees from -360 to 360, found '361'
--north: takes a compass heading from 0 to below 360 degrees, found '360'
--point: takes longitude and latitude in degrees such as 90,-4, found '0'
--pixel: takes column and row in pixels such as 4096,2051, found 'x,4'
--yaw, --pitch and --roll: is another way than --point: choose one
--north: goes with --auto or --point, or alone: give the --yaw instead
`,
    ],
    [['--point', '0,1'], '--point: is needed at least twice, best a quarter turn apart\n'],
    [
      ['--point', '0,1', '--point', '1,1'],
      /^master\.png: horizon: expected points at least 10 degrees apart/,
    ],
  ])('%j is wrong input', async (words, said) => {
    const { code, stdout, stderr } = await level('master.png', ...words, '--out', 'a.png');
    expect([code, stdout]).toEqual([2, '']);
    if (typeof said === 'string') expect(stderr).toBe(said);
    else expect(stderr).toMatch(said);
    expect(await folder.names()).toEqual(['master.png']);
  });

  it('replaces a file only with --overwrite', async () => {
    await folder.write('a.png', 'mine');
    const ended = await level('master.png', '--yaw', '9', '--out', 'a.png');
    expect(ended.stderr).toBe(
      'a.png: already exists: choose another name, or add --overwrite to replace it.\n',
    );
    expect(await folder.read('a.png')).toBe('mine');
    const forced = await level('master.png', '--yaw', '9', '--out', 'a.png', '--overwrite');
    expect(forced.code).toBe(0);
    expect((await decoded(folder.file('a.png'))).length).toBe(256 * 128 * 3);
  });
});
