import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { openClip } from '../../src/encode/clip.js';
import { frameName } from '../../src/encode/frames.js';
import { ffmpeg, folder, listing, make, wipe } from './support.js';

describe('a sequence of pictures', () => {
  it('in a new folder: numbered from 0, every pixel kept, in order', async () => {
    const place = folder();
    await make(`${join(place, 'frames')}/`, 7);
    expect(listing(place)).toEqual(['frames']);
    expect(listing(join(place, 'frames'))).toEqual(
      [0, 1, 2, 3, 4, 5, 6].map((number) => `frame-0000${number}.png`),
    );
    for (let index = 0; index < 7; index++) {
      const file = join(place, 'frames', `frame-0000${index}.png`);
      const { channels } = await sharp(file).metadata();
      const pixels = await sharp(file).ensureAlpha().raw().toBuffer();
      expect(channels).toBe(3);
      expect(pixels.equals(wipe(128, 64, index))).toBe(true);
    }
  });

  it('in a folder that is there, beside what else is in it', async () => {
    const place = folder();
    writeFileSync(join(place, 'notes.txt'), 'kept');
    await make(place, 2);
    expect(listing(place)).toEqual(['frame-00000.png', 'frame-00001.png', 'notes.txt']);
  });

  it.each([
    ['png-16', 'frame-00000.png'],
    ['tiff-16', 'frame-00000.tif'],
  ] as const)('as %s keeps all 16 bits of every sample', async (codec, name) => {
    const place = folder();
    const [width, height] = [16, 8];
    const base = { width, height, fps: 30, overwrite: false, quality: 'final' } as const;
    const options = { ...base, file: `${join(place, 'frames')}/`, ffmpeg, alpha: true };
    const clip = await openClip({ ...options, choice: { codec } });
    expect(clip.pixelFormat).toBe('rgba64le');
    const samples = Uint16Array.from(
      { length: width * height * 4 },
      (_, at) => (at * 12347) % 65536,
    );
    await clip.write(new Uint8Array(samples.buffer));
    await clip.finish();
    expect(listing(join(place, 'frames'))).toEqual([name]);
    const image = sharp(join(place, 'frames', name));
    expect(await image.metadata()).toMatchObject({ depth: 'ushort', channels: 4 });
    const { data } = await image
      .toColourspace('rgb16')
      .raw({ depth: 'ushort' })
      .toBuffer({ resolveWithObject: true });
    expect([...new Uint16Array(data.buffer, data.byteOffset, data.length / 2)]).toEqual([
      ...samples,
    ]);
  });

  it('as tiff or jpeg in a folder', async () => {
    const place = folder();
    await make(`${join(place, 'a')}/`, 2, { choice: { codec: 'tiff' } });
    await make(`${join(place, 'b')}/`, 1, { choice: { codec: 'jpeg' } });
    expect(listing(join(place, 'a'))).toEqual(['frame-00000.tif', 'frame-00001.tif']);
    expect(listing(join(place, 'b'))).toEqual(['frame-00000.jpg']);
  });

  it('by a pattern, as PNG with transparency or as JPEG', async () => {
    const place = folder();
    await make(join(place, 'planet-%03d.png'), 2, { alpha: true });
    await make(join(place, 'planet-%d.jpg'), 2);
    expect(listing(place)).toEqual([
      'planet-0.jpg',
      'planet-000.png',
      'planet-001.png',
      'planet-1.jpg',
    ]);
    const pixels = await sharp(join(place, 'planet-001.png')).raw().toBuffer();
    expect(pixels.equals(wipe(128, 64, 1, 0))).toBe(true);
  });

  it('does not touch frames of that name', async () => {
    const place = folder();
    writeFileSync(join(place, 'frame-00042.png'), 'mine');
    await expect(make(place, 2)).rejects.toThrow(
      `${place}: the folder already holds 1 frame of that name: choose another, or add --overwrite to replace them.`,
    );
    expect(listing(place)).toEqual(['frame-00042.png']);
    expect(readFileSync(join(place, 'frame-00042.png'), 'utf8')).toBe('mine');
  });

  it('with overwrite replaces the whole sequence, and only that', async () => {
    const place = folder();
    for (const name of ['frame-00001.png', 'frame-00042.png', 'frame-42.png', 'frame-last.png']) {
      writeFileSync(join(place, name), 'old');
    }
    await make(place, 2, { overwrite: true });
    expect(listing(place)).toEqual([
      'frame-00000.png',
      'frame-00001.png',
      'frame-42.png',
      'frame-last.png',
    ]);
    expect((await sharp(join(place, 'frame-00001.png')).metadata()).width).toBe(128);
  });

  it('refuses other kinds, a missing folder, and a file in the way', async () => {
    const place = folder();
    mkdirSync(join(place, 'a'));
    writeFileSync(join(place, 'file'), '');
    await expect(make(join(place, 'f-%05d.bmp'), 1)).rejects.toThrow(
      'f-%05d.bmp: a sequence is made of .png, .jpg, .webp or .tif files, found .bmp.',
    );
    await expect(make(join(place, 'f-%d-%03d.png'), 1)).rejects.toThrow(
      'f-%d-%03d.png: a pattern has one place for the number, such as %05d, found several: leave one of them.',
    );
    await expect(make(join(place, 'none', 'f-%05d.png'), 1)).rejects.toThrow(
      `the folder ${join(place, 'none')} does not exist`,
    );
    await expect(make(`${join(place, 'none', 'frames')}/`, 1)).rejects.toThrow(
      `the folder ${join(place, 'none')} does not exist`,
    );
    await expect(make(`${join(place, 'file')}/`, 1)).rejects.toThrow(
      'file is a file, not a folder.',
    );
  });

  it.each([
    ['frame-%05d.png', 7, 'frame-00007.png'],
    ['%d.png', 12, '12.png'],
    ['a-%03d-b.png', 1234, 'a-1234-b.png'],
  ])('%s, %i: %s', (pattern, number, name) => {
    expect(frameName(pattern, number)).toBe(name);
  });
});
