import { execFileSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { stillProblems, writeStill } from '../../src/encode/still.js';
import { folder, listing } from './support.js';

const [width, height] = [48, 32];

/** Every pixel another colour, alpha from 0 to 255. */
function colours(): Uint8Array {
  const rgba = new Uint8Array(width * height * 4);
  for (let at = 0; at < width * height; at++) {
    rgba.set([(at * 7) % 256, (at * 29) % 256, (at * 101) % 256, at % 256], at * 4);
  }
  return rgba;
}

const opaque = (rgba: Uint8Array) => rgba.filter((_, index) => index % 4 !== 3);

describe('writeStill', () => {
  it.each([
    ['.png', undefined],
    ['.tif', undefined],
    ['.tiff', undefined],
    ['.webp', 100],
  ])('%s keeps every pixel', async (extension, quality) => {
    const file = join(folder(), `a${extension}`);
    const rgba = colours();
    await writeStill({ file, rgba, width, height, overwrite: false, ...(quality && { quality }) });
    const { data, info } = await sharp(file).raw().toBuffer({ resolveWithObject: true });
    expect([info.width, info.height, info.channels]).toEqual([width, height, 3]);
    expect(data.equals(opaque(rgba))).toBe(true);
  });

  it.each(['.png', '.tif'])(
    '%s keeps 16 bits, even from an odd place in memory',
    async (extension) => {
      const file = join(folder(), `a${extension}`);
      const samples = Uint16Array.from(
        { length: width * height * 4 },
        (_, at) => (at * 7919) % 65536,
      );
      const memory = new Uint8Array(samples.length * 2 + 1);
      memory.set(new Uint8Array(samples.buffer), 1);
      const rgba = memory.subarray(1);
      await writeStill({ file, rgba, depth: 16, width, height, overwrite: false });
      const image = sharp(file);
      expect(await image.metadata()).toMatchObject({ depth: 'ushort', channels: 3 });
      const data = await image.toColourspace('rgb16').raw({ depth: 'ushort' }).toBuffer();
      const words = new Uint16Array(data.buffer, data.byteOffset, data.length / 2);
      expect([...words]).toEqual([...samples].filter((_, at) => at % 4 !== 3));
      // Without a profile: PNG has a chunk that says so in a word.
      const tags = execFileSync('exiftool', ['-s3', '-SRGBRendering', file], { encoding: 'utf8' });
      expect(tags.trim()).toBe(extension === '.png' ? 'Perceptual' : '');
    },
  );

  it('16 bits go into no JPEG', async () => {
    const place = { file: join(folder(), 'a.jpg'), width, height, overwrite: false };
    const [problem] = await stillProblems({ ...place, depth: 16 });
    expect(problem?.message).toBe('JPEG has 8 bits a sample: name a .png or .tif for 16.');
  });

  it.each(['.png', '.tif'])('%s keeps the transparency where asked to', async (extension) => {
    const file = join(folder(), `a${extension}`);
    const rgba = colours();
    await writeStill({ file, rgba, width, height, overwrite: false, alpha: true });
    const data = await sharp(file).raw().toBuffer();
    expect(data.equals(rgba)).toBe(true);
  });

  it('.jpg is 4:4:4 and close', async () => {
    const file = join(folder(), 'a.jpg');
    const rgba = new Uint8Array(width * height * 4);
    for (let at = 0; at < width * height; at++) rgba.set([at % 48, 90, 200 - (at >> 5), 0], at * 4);
    await writeStill({ file, rgba, width, height, overwrite: false, alpha: true });
    expect((await sharp(file).metadata()).chromaSubsampling).toBe('4:4:4');
    const pixels = await sharp(file).raw().toBuffer();
    const far = opaque(rgba).map((code, index) => Math.abs(code - pixels[index]!));
    expect(Math.max(...far)).toBeLessThanOrEqual(5);
  });

  it.each(['.png', '.jpg', '.webp', '.tif'])(
    '%s has an sRGB profile, by ExifTool',
    async (extension) => {
      const file = join(folder(), `a${extension}`);
      await writeStill({ file, rgba: colours(), width, height, overwrite: false });
      const words = execFileSync('exiftool', ['-ICC_Profile:ProfileDescription', '-s3', file], {
        encoding: 'utf8',
      });
      expect(words).toMatch(/sRGB/);
    },
  );

  it('refuses, with words, and leaves nothing', async () => {
    const place = folder();
    const file = join(place, 'a.png');
    writeFileSync(file, 'mine');
    const still = { rgba: colours(), width, height, overwrite: false };
    await expect(writeStill({ ...still, file })).rejects.toThrow(
      `${file}: already exists: choose another name, or add --overwrite to replace it.`,
    );
    expect(readFileSync(file, 'utf8')).toBe('mine');
    await expect(writeStill({ ...still, file: join(place, 'a.bmp') })).rejects.toThrow(
      "a still's name ends in one of .png, .jpg, .jpeg, .webp, .tif, .tiff, found .bmp.",
    );
    await expect(writeStill({ ...still, file: join(place, 'no', 'a.png') })).rejects.toThrow(
      'does not exist',
    );
    expect(listing(place)).toEqual(['a.png']);
    await writeStill({ ...still, file, overwrite: true });
    expect((await sharp(file).metadata()).format).toBe('png');
    expect(listing(place)).toEqual(['a.png']);
  });

  it('knows the longest side of a format', async () => {
    const [problem] = await stillProblems({
      file: 'a.webp',
      width: 20000,
      height: 10000,
      overwrite: false,
    });
    expect(problem?.message).toBe('WebP takes sides up to 16383 pixels, found 20000x10000.');
  });

  it('removes what it began when packing fails', async () => {
    const place = folder();
    const still = {
      file: join(place, 'a.png'),
      rgba: new Uint8Array(5),
      width,
      height,
      overwrite: false,
    };
    await expect(writeStill(still)).rejects.toThrow('a.png: cannot be written:');
    expect(listing(place)).toEqual([]);
  });
});
