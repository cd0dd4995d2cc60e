import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Interrupted } from '../../../src/errors.js';
import { type LevelOptions, levelMaster } from '../../../src/master/level.js';
import { type Pixels, pixels } from '../../../src/master/pixels.js';
import { SLOW, softValley } from '../../support/valley.js';
import { rotation, turned } from './support.js';

const folder = mkdtempSync(join(tmpdir(), 'orbreel-level-'));
const at = (name: string) => join(folder, name);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const WIDTH = 256;
const HEIGHT = 128;

/** Colours that change smoothly on the sphere, of one depth. */
function picture(depth: 8 | 16): Pixels {
  const most = 2 ** depth - 1;
  const data = Array.from({ length: WIDTH * HEIGHT * 3 }, (_, i) => {
    const pixel = Math.floor(i / 3);
    const longitude = ((pixel % WIDTH) / WIDTH) * 2 * Math.PI;
    const latitude = (0.5 - (Math.floor(pixel / WIDTH) + 0.5) / HEIGHT) * Math.PI;
    const wave = Math.cos(latitude) * Math.sin(longitude + i) + Math.sin(latitude);
    return Math.round(most * (0.5 + 0.3 * wave));
  });
  return depth === 8
    ? { width: WIDTH, height: HEIGHT, depth, data: Uint8Array.from(data) }
    : { width: WIDTH, height: HEIGHT, depth, data: Uint16Array.from(data) };
}

const raw = ({ width, height, data }: Pixels) =>
  sharp(data, { raw: { width, height, channels: 3 } });

async function samplesOf(file: string): Promise<Uint8Array | Uint16Array> {
  const { depth } = await sharp(file).metadata();
  const pipeline = sharp(file).toColourspace(depth === 'ushort' ? 'rgb16' : 'srgb');
  const data = await pipeline.raw({ depth: depth === 'ushort' ? 'ushort' : 'uchar' }).toBuffer();
  return depth === 'ushort'
    ? new Uint16Array(data.buffer.slice(data.byteOffset, data.byteOffset + data.length))
    : new Uint8Array(data);
}

const tag = (file: string, name: string): string =>
  execFileSync('exiftool', ['-n', '-s3', `-${name}`, file], { encoding: 'utf8' }).trim();

const level = (options: Partial<LevelOptions>) =>
  levelMaster({ input: at('8.png'), output: at('out.png'), overwrite: true, ...options });

/** All sentences of an error, one a line. */
async function problemsOf(options: Partial<LevelOptions>): Promise<string> {
  const error = await level(options).then(
    () => new Error('nothing was wrong'),
    (problem: Error) => problem,
  );
  return error.message.replaceAll(folder, 'folder');
}

beforeAll(async () => {
  await raw(picture(8)).png().toFile(at('8.png'));
  await raw(picture(16)).toColourspace('rgb16').png().toFile(at('16.png'));
  await raw(picture(8)).withIccProfile('p3').jpeg({ quality: 100 }).toFile(at('p3.jpg'));
  execFileSync('exiftool', [
    ...['-q', '-n', '-overwrite_original', '-IFD0:Make=Windmill', '-GPSLatitude=46.5'],
    ...['-ExifIFD:DateTimeOriginal=2026:05:01 05:41:00', '-XMP-GPano:PoseHeadingDegrees=200'],
    ...['-XMP-GPano:PosePitchDegrees=3', '-XMP-GPano:ProjectionType=equirectangular'],
    at('p3.jpg'),
  ]);
});

describe('turning a file', () => {
  it.each([8, 16] as const)('of %i bits gives the very pixels of the maths', async (depth) => {
    const report = await level({ input: at(`${depth}.png`), yaw: 40, pitch: 10, roll: -5 });
    expect(report).toMatchObject({
      status: 'turned',
      size: { width: WIDTH, height: HEIGHT, depth },
      turn: { yaw: 40, pitch: 10, roll: -5 },
      notes: [],
    });
    const expected = turned(picture(depth), rotation(40, 10, -5)).data;
    expect(await samplesOf(at('out.png'))).toEqual(expected);
  });

  it('by nothing leaves its pixels as they are', async () => {
    await level({ yaw: 0 });
    expect(await samplesOf(at('out.png'))).toEqual(picture(8).data);
    await level({ input: at('16.png'), yaw: 0, output: at('out.tif') });
    expect(await samplesOf(at('out.tif'))).toEqual(picture(16).data);
  });

  it('keeps profile, EXIF and code values, and restates the pose', async () => {
    const output = at('turned.jpg');
    const report = await level({ input: at('p3.jpg'), output, yaw: 30, quality: 100 });
    const [before, after] = await Promise.all(
      [at('p3.jpg'), output].map((f) => sharp(f).metadata()),
    );
    expect(after!.icc).toEqual(before!.icc);
    expect(tag(output, 'Make')).toBe('Windmill');
    expect(tag(output, 'DateTimeOriginal')).toBe('2026:05:01 05:41:00');
    expect(tag(output, 'GPSLatitude')).toBe('46.5');
    // The camera stood 3 degrees up at heading 200, and now looks 30 degrees to the right about its own axis:
    // along (sin 30, cos 30 sin 3, cos 30 cos 3) to its right, up and forward.
    const [sin, cos] = [0.5, Math.sqrt(0.75)];
    const three = (3 / 180) * Math.PI;
    const heading = 200 + (Math.atan2(sin, cos * Math.cos(three)) / Math.PI) * 180;
    expect(report.pose.heading).toBeCloseTo(heading, 4);
    expect(Number(tag(output, 'PoseHeadingDegrees'))).toBeCloseTo(report.pose.heading!, 4);
    expect(Number(tag(output, 'PosePitchDegrees'))).toBeCloseTo(report.pose.pitch, 4);
    expect(report.pose.pitch).toBeCloseTo((Math.asin(cos * Math.sin(three)) / Math.PI) * 180, 4);
    const source = pixels(WIDTH, HEIGHT, new Uint8Array(await raw8(at('p3.jpg'))));
    const expected = turned(source, rotation(30, 0, 0)).data;
    const found = await raw8(output);
    let worst = 0;
    for (let i = 0; i < found.length; i++)
      worst = Math.max(worst, Math.abs(found[i]! - expected[i]!));
    // JPEG's own rounding.
    expect(worst).toBeLessThan(6);
  });

  it('to north: the centre, which faced 90, is then a quarter turn to the right', async () => {
    const report = await level({ north: 90 });
    expect(report).toMatchObject({ turn: { yaw: -90, pitch: 0, roll: 0 }, pose: { heading: 0 } });
    const shifted = await samplesOf(at('out.png'));
    const { data } = picture(8);
    expect(shifted[3 * ((WIDTH * HEIGHT) / 2 + 64 + 10)]).toBe(
      data[3 * ((WIDTH * HEIGHT) / 2 + 10)],
    );
  });

  it('by points on the horizon, and north with it, undoes the lean', async () => {
    const points = [
      { longitude: 0, latitude: -7 },
      { longitude: 90, latitude: 0 },
      { longitude: 180, latitude: 7 },
    ];
    const report = await level({ horizon: points });
    expect(report).toMatchObject({
      status: 'turned',
      lean: { pitch: expect.closeTo(7, 6), roll: expect.closeTo(0, 6) },
      fit: { points: 3, worst: expect.closeTo(0, 4) },
      turn: { yaw: 0, pitch: -7, roll: 0 },
      pose: { pitch: 0, roll: 0 },
      notes: [],
    });
    const both = await level({ horizon: points, north: 90 });
    expect(both.pose).toEqual({ heading: 0, pitch: 0, roll: 0 });
    const expected = turned(picture(8), rotation(both.turn.yaw, both.turn.pitch, both.turn.roll));
    expect(await samplesOf(at('out.png'))).toEqual(expected.data);
  });

  it('says when points do not fit together', async () => {
    const { notes } = await level({
      horizon: [0, 90, 180, -90].map((longitude, i) => ({
        longitude,
        latitude: i % 2 === 0 ? 3 : -3,
      })),
    });
    expect(notes).toEqual([
      'The points lie up to 3.0 degrees off one great circle: is each of them on the horizon?',
    ]);
  });

  it('says when 16 bits become 8', async () => {
    const { notes } = await level({ input: at('16.png'), output: at('out.jpg'), yaw: 10 });
    expect(notes).toEqual([
      'The output format holds 8 bit; choose .png or .tif to keep the 16 bit of the master.',
    ]);
  });

  it('by threads gives the same pixels as by none', async () => {
    const { width, height } = { width: 3072, height: 1536 };
    await raw(picture(8))
      .resize(width, height, { fit: 'fill' })
      .png({ compressionLevel: 1 })
      .toFile(at('large.png'));
    const job = { input: at('large.png'), pitch: 20, roll: 3 };
    const shares: number[] = [];
    await level({ ...job, output: at('a.png'), threads: 1 });
    await level({ ...job, output: at('b.png'), threads: 3, onProgress: (_, s) => shares.push(s) });
    expect(Buffer.compare(await raw8(at('a.png')), await raw8(at('b.png')))).toBe(0);
    expect(shares).toEqual([...shares].sort((a, b) => a - b));
    expect(shares.at(-1)).toBe(1);
  });
});

const raw8 = (file: string): Promise<Buffer> => sharp(file).raw().toBuffer();

describe('by what the picture shows', () => {
  it(
    'undoes the lean of the demo master, and leaves it as it is when level',
    async () => {
      const valley = await softValley(1024);
      await raw(turned(valley, rotation(0, 6, -9)))
        .png()
        .toFile(at('leaned.png'));
      const report = await level({
        input: at('leaned.png'),
        auto: true,
        output: at('upright.png'),
      });
      expect(report).toMatchObject({ status: 'turned', found: { sure: true, method: 'horizon' } });
      expect(Math.abs(report.lean!.pitch - 6)).toBeLessThan(0.5);
      expect(Math.abs(report.lean!.roll + 9)).toBeLessThan(0.5);
      expect(report.pose).toEqual({ pitch: 0, roll: 0 });
      const output = at('again.png');
      const again = await level({ input: at('upright.png'), auto: true, output });
      expect(again).toMatchObject({ status: 'level', turn: { yaw: 0, pitch: 0, roll: 0 } });
      expect(existsSync(output)).toBe(false);
    },
    SLOW,
  );
});

describe('when unsure', () => {
  it('writes nothing and says what to do', async () => {
    const output = at('never.png');
    const plain = {
      create: { width: WIDTH, height: HEIGHT, channels: 3, background: '#888' },
    } as const;
    await sharp(plain).png().toFile(at('plain.png'));
    const report = await level({ input: at('plain.png'), auto: true, output });
    expect(report).toMatchObject({
      status: 'unsure',
      turn: { yaw: 0, pitch: 0, roll: 0 },
      notes: [
        'Unsure how the camera stood: give two or more points on the horizon, or pitch and roll.',
      ],
    });
    expect(existsSync(output)).toBe(false);
  });
});

describe('what cannot be done', () => {
  it.each<[string, Partial<LevelOptions>, string]>([
    [
      'nothing asked for',
      {},
      'expected yaw, pitch or roll, points on the horizon, auto, or north; found none of them.',
    ],
    [
      'two ways at once',
      { auto: true, pitch: 3 },
      'expected one way to level, found yaw, pitch and roll and auto: choose one.',
    ],
    [
      'north beside a yaw',
      { yaw: 3, north: 10 },
      'north: expected it alone, with points on the horizon or with auto, found it beside yaw, pitch or roll: give the yaw instead.',
    ],
    [
      'one point',
      { horizon: [{ longitude: 0, latitude: 0 }] },
      'horizon: expected at least 2 points on the horizon, found 1.',
    ],
    [
      'numbers out of range',
      { pitch: 91, roll: Number.NaN, quality: 0, threads: 0 },
      'pitch: expected -90 to 90, found 91.\nroll: expected -180 to 180, found NaN.\n' +
        'quality: expected 1 to 100, found 0.\nthreads: expected 1 to 256, found 0.',
    ],
    [
      'a full turn for a heading',
      { north: 360 },
      'north: expected from 0 to below 360, found 360.',
    ],
    [
      'the master as output',
      { yaw: 1, output: at('8.png') },
      'folder/8.png: expected another file than the input: the master itself is never overwritten.',
    ],
    [
      'an unknown ending',
      { yaw: 1, output: at('out.bmp') },
      'folder/out.bmp: expected an ending from .jpg, .png, .tif, .webp, .avif, .jpeg, .tiff, found ".bmp".',
    ],
    [
      'points nearly the same',
      {
        horizon: [
          { x: 100, y: 64 },
          { x: 101, y: 64 },
        ],
      },
      'folder/8.png: horizon: expected points at least 10 degrees apart, best a quarter turn, found all of them ' +
        'close to one direction or its opposite: many horizons go through those.',
    ],
    [
      'points outside',
      {
        horizon: [
          { x: 300, y: 64 },
          { x: 1, y: 64 },
        ],
      },
      'folder/8.png: horizon[0].x: expected 0 to 256, found 300.',
    ],
  ])('%s', async (_, options, message) => {
    expect(await problemsOf(options)).toBe(message);
  });

  it('an output that is there, without leave', async () => {
    await level({ yaw: 1, output: at('there.png') });
    const before = readFileSync(at('there.png'));
    expect(await problemsOf({ yaw: 2, output: at('there.png'), overwrite: false })).toBe(
      'folder/there.png: already exists: choose another name, or add --overwrite to replace it.',
    );
    expect(readFileSync(at('there.png'))).toEqual(before);
  });

  it('pictures that are no whole sphere', async () => {
    const half = raw(picture(8)).resize(256, 100, { fit: 'fill' });
    await half.png().toFile(at('half.png'));
    await raw(picture(8)).toColourspace('cmyk').jpeg().toFile(at('cmyk.jpg'));
    await raw(picture(8)).ensureAlpha(0.5).png().toFile(at('holes.png'));
    writeFileSync(at('cut.png'), readFileSync(at('8.png')).subarray(0, 3000));
    const found = await Promise.all(
      ['half.png', 'cmyk.jpg', 'holes.png', 'gone.png'].map((name) =>
        problemsOf({ input: at(name), yaw: 1, output: at(`${name}.out.png`) }),
      ),
    );
    expect(found).toEqual([
      'folder/half.png: expected a master of the whole sphere, twice as wide as high, found 256x100: complete it to 2:1 first',
      'folder/cmyk.jpg: expected RGB or grey, found CMYK; convert it to sRGB.',
      'folder/holes.png: expected a whole sphere, found transparent parts; save it without transparency, or complete it first: orbreel master complete folder/holes.png --out FILE',
      'folder/gone.png: expected the master, a picture file; there is no such file',
    ]);
    expect(await problemsOf({ input: at('cut.png'), yaw: 1 })).toMatch(
      /^folder\/cut\.png: the picture is damaged or cut off \(.*\); copy or export it again from its source$/,
    );
  });

  it('leaves nothing behind when stopped', async () => {
    const before = readdirSync(folder);
    const stop = new AbortController();
    const work = level({
      input: at('large.png'),
      output: at('stopped.png'),
      pitch: 5,
      signal: stop.signal,
      onProgress: (step) => step === 'turning' && stop.abort(),
    });
    await expect(work).rejects.toBeInstanceOf(Interrupted);
    expect(readdirSync(folder)).toEqual(before);
  });
});
