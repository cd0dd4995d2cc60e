import { readdirSync, readFileSync } from 'node:fs';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { Interrupted } from '../../../src/errors.js';
import { describeFinish, finishMaster } from '../../../src/master/finish.js';
import { inspectMaster } from '../../../src/master/inspect.js';
import { findHorizon, levelMaster } from '../../../src/master/level.js';
import { photo } from '../../support/photos.js';
import { ownFolder, picture, tag, tagsOf } from './support.js';

const WIDTH = 512;
const HEIGHT = 256;
const ROW = 3 * WIDTH;

/** A real photograph, 512x256: support/photos.ts says whose. */
const dawn = async () => (await photo('dawn')).data as Uint8Array;

const crop = (rows: number, top: number): string[] =>
  Object.entries({
    ProjectionType: 'equirectangular',
    FullPanoWidthPixels: WIDTH,
    FullPanoHeightPixels: HEIGHT,
    CroppedAreaImageWidthPixels: WIDTH,
    CroppedAreaImageHeightPixels: rows,
    CroppedAreaLeftPixels: 0,
    CroppedAreaTopPixels: top,
  }).map(([name, value]) => `-XMP-GPano:${name}=${value}`);

describe('finishMaster', () => {
  const at = ownFolder();

  it('makes a whole, level and rightly marked sphere, and finds nothing more to do then', async () => {
    await picture(WIDTH, await dawn())
      .png()
      .toFile(at('dawn.png'));
    await levelMaster({ input: at('dawn.png'), output: at('lean.png'), pitch: 5, roll: -4 });
    const part = sharp(at('lean.png')).extract({ left: 0, top: 30, width: WIDTH, height: 200 });
    await part.withIccProfile('p3').jpeg({ quality: 95 }).toFile(at('part.jpg'));
    tag(at('part.jpg'), ...crop(200, 30), '-XMP-GPano:PoseHeadingDegrees=137');
    tag(at('part.jpg'), '-Make=Aerostat Works', '-DateTimeOriginal=2026:05:01 06:10:00');
    tag(at('part.jpg'), '-GPSLatitude=46.5', '-GPSLatitudeRef=N');

    const steps = new Set<string>();
    const report = await finishMaster({
      input: at('part.jpg'),
      output: at('done.jpg'),
      stripPlace: true,
      onProgress: (step) => steps.add(step),
    });
    expect(report).toMatchObject({ changed: true, redrawn: true, file: at('done.jpg') });
    expect(report.completed?.placed).toEqual({ left: 0, top: 30, width: WIDTH, height: 200 });
    expect(report.completed?.holes).toHaveLength(2);
    expect(report.levelled.status).toBe('turned');
    expect([...steps]).toEqual(
      expect.arrayContaining(['inspecting', 'filling', 'marking', 'done']),
    );

    expect((await findHorizon(at('done.jpg'))).tilt).toBeLessThan(0.5);
    const about = await sharp(at('done.jpg')).metadata();
    expect(about).toMatchObject({ width: WIDTH, height: HEIGHT, chromaSubsampling: '4:4:4' });
    const tags = tagsOf(at('done.jpg'));
    expect(tags).toMatchObject({
      'IFD0:Make': 'Aerostat Works',
      'ExifIFD:DateTimeOriginal': '2026:05:01 06:10:00',
      'ICC_Profile:ProfileDescription': tagsOf(at('part.jpg'))['ICC_Profile:ProfileDescription'],
      'XMP-GPano:CroppedAreaImageHeightPixels': HEIGHT,
      'XMP-GPano:CroppedAreaTopPixels': 0,
      'XMP-GPano:PoseHeadingDegrees': 137,
      'XMP-GPano:PosePitchDegrees': 0,
      'XMP-GPano:PoseRollDegrees': 0,
    });
    expect(Object.keys(tags).filter((name) => /GPS(Lat|Long)/.test(name))).toEqual([]);

    const again = await finishMaster({
      input: at('done.jpg'),
      output: at('again.jpg'),
      stripPlace: true,
    });
    expect(again).toMatchObject({ changed: false, redrawn: false });
    expect(describeFinish(again)).toMatch(/again\.jpg: nothing to change, it is a copy\.\n/);
    expect(readFileSync(at('again.jpg')).equals(readFileSync(at('done.jpg')))).toBe(true);
    const made = ['again.jpg', 'dawn.png', 'done.jpg', 'lean.png', 'part.jpg'];
    expect(readdirSync(at('.')).sort()).toEqual(made);
  });

  it('only marks what is whole: the coded picture stays', async () => {
    await picture(WIDTH, await dawn())
      .jpeg({ quality: 60 })
      .toFile(at('dawn.jpg'));
    tag(at('dawn.jpg'), ...crop(77, 30));
    const report = await finishMaster({
      input: at('dawn.jpg'),
      output: at('done.jpg'),
      keep: ['tilt'],
    });
    expect(report).toMatchObject({ changed: true, redrawn: false, levelled: { status: 'kept' } });
    expect(report.mark.changes).toContainEqual({
      field: 'CroppedAreaImageHeightPixels',
      from: '77',
      to: '256',
    });
    const [before, after] = [readFileSync(at('dawn.jpg')), readFileSync(at('done.jpg'))];
    // From the first quantisation table on, a JPEG is the picture itself (ITU-T T.81, annex B).
    const coded = (bytes: Buffer) => bytes.subarray(bytes.indexOf(Buffer.from([0xff, 0xdb])));
    expect(coded(after).equals(coded(before))).toBe(true);
  });

  it('fills a black cap and is content with what it filled', async () => {
    const capped = (await dawn()).slice();
    capped.fill(0, 0, 36 * ROW);
    await picture(WIDTH, capped).jpeg({ quality: 90 }).toFile(at('capped.jpg'));
    const job = { input: at('capped.jpg'), output: at('done.jpg'), keep: ['tilt'] as const };
    const report = await finishMaster(job);
    expect(report.before.holes).toHaveLength(1);
    expect(report.completed?.holes).toHaveLength(1);
    expect((await inspectMaster(at('done.jpg'))).holes).toEqual([]);
    const again = { input: at('done.jpg'), output: at('again.jpg'), keep: ['tilt'] as const };
    expect((await finishMaster(again)).changed).toBe(false);
    expect(readFileSync(at('again.jpg')).equals(readFileSync(at('done.jpg')))).toBe(true);
  });

  it('keeps 16 bits and every known code value where the format can', async () => {
    const sphere = await dawn();
    // Low bits that 8 bits would lose.
    const deep = Uint16Array.from(sphere, (code, i) => code * 257 - (code > 0 ? i % 251 : 0));
    await picture(WIDTH, deep.subarray(30 * ROW))
      .toColourspace('rgb16')
      .tiff({ compression: 'deflate' })
      .toFile(at('part.tif'));
    tag(at('part.tif'), ...crop(226, 30), '-Make=Aerostat Works');
    const report = await finishMaster({
      input: at('part.tif'),
      output: at('done.tif'),
      keep: ['tilt'],
    });
    expect(report.completed?.canvas).toEqual({ width: WIDTH, height: HEIGHT, depth: 16 });
    const read = async (file: string) =>
      new Uint16Array(
        (await sharp(file).toColourspace('rgb16').raw({ depth: 'ushort' }).toBuffer()).buffer,
      );
    const [before, after] = [await read(at('part.tif')), await read(at('done.tif'))];
    expect(before.some((code) => code % 257 !== 0)).toBe(true);
    expect(after.subarray(30 * ROW)).toEqual(before);
    expect(tagsOf(at('done.tif'))['IFD0:Make']).toBe('Aerostat Works');
    expect(tagsOf(at('done.tif'))['IFD0:BitsPerSample']).toBe('16 16 16');
  });

  it('writes another format without touching pixels, and leaves holes when asked', async () => {
    await picture(WIDTH, (await dawn()).subarray(30 * ROW))
      .png()
      .toFile(at('part.png'));
    tag(at('part.png'), ...crop(226, 30));
    const report = await finishMaster({
      input: at('part.png'),
      output: at('done.tif'),
      keep: ['holes'],
    });
    expect(report).toMatchObject({ redrawn: true, levelled: { status: 'partial' } });
    expect(report.completed).toBeUndefined();
    const pixels = (file: string) => sharp(file).raw().toBuffer();
    expect((await pixels(at('done.tif'))).equals(await pixels(at('part.png')))).toBe(true);
    expect(tagsOf(at('done.tif'))['XMP-GPano:CroppedAreaTopPixels']).toBe(30);
  });

  it('stopped, it leaves nothing', async () => {
    await picture(WIDTH, (await dawn()).subarray(30 * ROW))
      .png()
      .toFile(at('part.png'));
    tag(at('part.png'), ...crop(226, 30));
    const stop = new AbortController();
    const job = finishMaster({
      input: at('part.png'),
      output: at('done.png'),
      signal: stop.signal,
      onProgress: (step) => step === 'filling' && stop.abort(),
    });
    await expect(job).rejects.toBeInstanceOf(Interrupted);
    expect(readdirSync(at('.'))).toEqual(['part.png']);
  });
});
