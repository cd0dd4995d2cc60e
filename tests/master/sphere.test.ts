import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp, { type Sharp } from 'sharp';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { valleyXmp } from '../../src/demo/xmp.js';
import { makeLevel } from '../../src/master/finish/upright.js';
import { makeWhole } from '../../src/master/finish/whole.js';
import { finishMaster } from '../../src/master/finish.js';
import { inspectMaster } from '../../src/master/inspect.js';
import { markMaster } from '../../src/master/mark.js';
import { checkMaster } from '../../src/master/open.js';
import { gpanoInXmp } from '../../src/master/sphere.js';
import { tag } from '../cli/master/support.js';
import { exifTags, paint, valley } from './mark/pictures.js';

vi.setConfig({ testTimeout: 120_000, hookTimeout: 120_000 });

const folder = mkdtempSync(join(tmpdir(), 'orbreel-sphere-claims-'));
const at = (name: string) => join(folder, name);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const FORMATS: Readonly<Record<string, (picture: Sharp) => Sharp>> = {
  jpg: (picture) => picture.jpeg(),
  png: (picture) => picture.png(),
  webp: (picture) => picture.webp(),
  tif: (picture) => picture.tiff(),
  avif: (picture) => picture.avif(),
};

const placed = [
  '-XMP-GPano:ProjectionType=equirectangular',
  '-XMP-GPano:FullPanoWidthPixels=1024',
  '-XMP-GPano:FullPanoHeightPixels=512',
  '-XMP-GPano:CroppedAreaImageWidthPixels=512',
  '-XMP-GPano:CroppedAreaImageHeightPixels=256',
  '-XMP-GPano:CroppedAreaLeftPixels=100',
  '-XMP-GPano:CroppedAreaTopPixels=90',
];

beforeAll(async () => {
  const picture = paint(512, 256, valley);
  for (const [kind, as] of Object.entries(FORMATS)) {
    await as(picture.clone()).toFile(at(`cylinder.${kind}`));
    tag(at(`cylinder.${kind}`), '-XMP-GPano:ProjectionType=cylindrical');
  }
  await picture.clone().jpeg().toFile(at('part.jpg'));
  tag(at('part.jpg'), ...placed);
  for (const [width, height] of [
    [1, 1],
    [2, 1],
    [62, 31],
  ] as const) {
    const create = { width, height, channels: 3, background: '#48c' } as const;
    await sharp({ create })
      .jpeg()
      .toFile(at(`tiny-${width}.jpg`));
  }
});

/** What each command that writes does with a picture. */
const WRITERS = {
  complete: (input: string) => makeWhole({ input, output: at('out.jpg') }),
  level: (input: string) => makeLevel({ input, output: at('out.jpg'), yaw: 10 }),
  finish: (input: string) => finishMaster({ input, output: at('out.jpg') }),
};

describe('GPano fields in a packet', () => {
  it.each(Object.keys(FORMATS))('are those that ExifTool reads (%s)', async (kind) => {
    const file = at(`cylinder.${kind}`);
    tag(file, '-XMP-GPano:PoseHeadingDegrees=12.5', '-XMP-GPano:StitchingSoftware=Own & Co');
    const { xmp } = await sharp(file).metadata();
    const read = Object.entries(exifTags(file, '-XMP-GPano:all'))
      .filter(([name]) => name.startsWith('XMP-GPano:'))
      .map(([name, value]) => [name.replace('XMP-GPano:', ''), String(value)]);
    const found = gpanoInXmp(xmp);
    expect(read).toHaveLength(3);
    expect({ ...found, StitchingSoftware: 'Own & Co' }).toEqual(Object.fromEntries(read));
  });

  it('may be attributes', () => {
    expect(gpanoInXmp(Buffer.from(valleyXmp(512)))).toMatchObject({
      ProjectionType: 'equirectangular',
      FullPanoWidthPixels: '512',
      PoseRollDegrees: '0',
    });
    expect(gpanoInXmp(undefined)).toEqual({});
    expect(gpanoInXmp(Buffer.from('no packet'))).toEqual({});
  });
});

describe('a claim of another projection', () => {
  const complaint =
    /cylinder\.\w+: expected an equirectangular master, found that its metadata claim the projection "cylindrical": convert it .*orbreel master mark \S+ --overwrite$/;

  it.each(Object.keys(FORMATS))('keeps a master from being drawn (%s)', async (kind) => {
    await expect(checkMaster(at(`cylinder.${kind}`))).rejects.toThrow(complaint);
  });

  it.each(Object.keys(WRITERS))('keeps %s from working', async (name) => {
    const work = WRITERS[name as keyof typeof WRITERS];
    await expect(work(at('cylinder.jpg'))).rejects.toThrow(complaint);
    expect(readdirSync(folder).filter((one) => one.startsWith('.') || one === 'out.jpg')).toEqual(
      [],
    );
  });

  it('is replaced by mark, with a word, and all is well', async () => {
    const output = at('marked.jpg');
    const { changes, notes } = await markMaster({ input: at('cylinder.jpg'), output });
    expect(changes).toContainEqual({
      field: 'ProjectionType',
      from: 'cylindrical',
      to: 'equirectangular',
    });
    expect(notes.join()).toMatch(/It claimed the projection "cylindrical" .*convert it/);
    expect(await checkMaster(output)).toEqual({ width: 512, height: 256 });
  });

  it('is what inspect tells first', async () => {
    const { advice } = await inspectMaster(at('cylinder.jpg'));
    expect(advice[0]).toMatch(/claims the projection "cylindrical": convert it .*master mark/);
    expect(advice.join()).not.toContain('Mark it rightly');
  });
});

describe('a claim to be a part', () => {
  it('keeps a 2:1 picture from being taken for the whole', async () => {
    const complaint =
      /part\.jpg: expected a whole sphere, found that its metadata place it as a part of one \(512x256 at 100,90 of 1024x512\): .*orbreel master complete \S+ --out FILE, .*--full 512x256 --at 0,0 --overwrite/;
    await expect(checkMaster(at('part.jpg'))).rejects.toThrow(complaint);
    await expect(WRITERS.level(at('part.jpg'))).rejects.toThrow(complaint);
  });

  it('is kept to where the picture was made smaller', async () => {
    await sharp(at('part.jpg')).resize(256).keepXmp().jpeg().toFile(at('smaller.jpg'));
    await expect(checkMaster(at('smaller.jpg'))).rejects.toThrow(/256x128 at 50,45 of 512x256/);
  });

  it('of another size altogether is none', async () => {
    await sharp(at('part.jpg'))
      .resize(512, 255, { fit: 'fill' })
      .keepXmp()
      .jpeg()
      .toFile(at('other.jpg'));
    tag(at('other.jpg'), '-XMP-GPano:CroppedAreaImageHeightPixels=400');
    expect(await checkMaster(at('other.jpg'))).toEqual({ width: 512, height: 255 });
  });
});

describe('a picture too small for a sphere', () => {
  it.each([
    ['tiny-1.jpg', '1x1'],
    ['tiny-2.jpg', '2x1'],
    ['tiny-62.jpg', '62x31'],
  ])('%s is refused by all', async (name, size) => {
    const complaint = new RegExp(
      `${name}: expected a master of at least 64x32 pixels, found ${size}: too small .*; export it larger$`,
    );
    await expect(checkMaster(at(name))).rejects.toThrow(complaint);
    await expect(markMaster({ input: at(name), output: at('out.jpg') })).rejects.toThrow(complaint);
    for (const work of Object.values(WRITERS))
      await expect(work(at(name))).rejects.toThrow(complaint);
    const { advice } = await inspectMaster(at(name));
    expect(advice[0]).toBe(
      `It is too small for a picture of a sphere (${size}): export it larger.`,
    );
    expect(advice.join()).not.toContain('orbreel');
  });

  it('may be marked as flat', async () => {
    tag(at('tiny-62.jpg'), '-XMP-GPano:ProjectionType=equirectangular');
    const result = await markMaster({
      input: at('tiny-62.jpg'),
      output: at('flat.jpg'),
      flat: true,
    });
    expect(result.changed).toBe(true);
  });
});
