import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { Choice } from '../../src/encode/clip.js';
import { clipProblems, keepsAlpha, openClip } from '../../src/encode/clip.js';
import { codecRows } from '../../src/encode/codecRows.js';
import { InputError, WorkError } from '../../src/errors.js';
import { ffmpeg, folder, make, probe } from './support.js';

const problemsOf = async (name: string, choice: Choice) =>
  (
    await clipProblems({
      ...{ width: 128, height: 64, fps: 30, overwrite: false, quality: 'final', choice },
      file: join(folder(), name) + (name.endsWith('/') ? '/' : ''),
    })
  ).map(({ path, message }) => `${path}: ${message}`);

const X264_PRESETS =
  'ultrafast, superfast, veryfast, faster, fast, medium, slow, slower, veryslow or placebo';

describe('a choice that does not fit is told in one sentence each', () => {
  it.each<[string, Choice, string[]]>([
    [
      'a.mp4',
      { codec: 'prores-422hq' },
      [
        '--codec: .mp4 holds h264, hevc, hevc-10, av1 or av1-10, found prores-422hq: choose one of these, or name the file .mov.',
      ],
    ],
    [
      'a.gif',
      { codec: 'av1' },
      ['--codec: .gif holds gif, found av1: choose one of these, or name the file .mp4 or .webm.'],
    ],
    [
      'a.mov',
      { codec: 'tiff-16' },
      [
        '--codec: .mov holds h264, hevc, hevc-10, prores-422hq or prores-4444, found tiff-16: choose one of these, or name a folder (with / at its end) or a pattern like frames-%05d.png.',
      ],
    ],
    [
      'a.mp4',
      { crf: 52, preset: 'brisk' },
      [
        '--crf: H.264 takes 1 (best picture) to 51 (smallest file), usually 18, found 52.',
        `--preset: H.264 takes (by libx264: ${X264_PRESETS}), found brisk.`,
      ],
    ],
    ['a.mp4', { crf: 20, bitrate: 1e6 }, ['--crf: goes without --bitrate: give one of the two.']],
    [
      'a.mp4',
      { codec: 'av1', preset: '13' },
      [
        '--preset: AV1 takes (by libsvtav1: a whole number from 0 (slowest) to 12 (quickest); by libaom-av1: a whole number from 0 (slowest) to 8 (quickest)), found 13.',
      ],
    ],
    [
      'a.mov',
      { codec: 'prores-4444', crf: 20, preset: 'slow' },
      [
        '--crf: ProRes 4444 has no such setting: leave it out.',
        '--preset: ProRes 4444 has no presets: leave it out.',
      ],
    ],
    [
      'a.mov',
      { codec: 'prores-422hq', bitrate: 1e6 },
      ['--bitrate: ProRes 422 HQ sets its own bit rate: leave it out.'],
    ],
    [
      'a.mp4',
      { encoder: 'libvpx-vp9' },
      [
        '--encoder: H.264 is made by hardware, libx264, h264_videotoolbox, h264_nvenc, h264_qsv or h264_vaapi, found libvpx-vp9.',
      ],
    ],
    ['a.gif', { encoder: 'hardware' }, ['--encoder: GIF is made by gif, found hardware.']],
    [
      'frames/',
      { codec: 'hevc', crf: 3 },
      [
        '--codec: single pictures are png, png-16, tiff, tiff-16, jpeg, found hevc.',
        '--crf: single pictures have no such setting: leave it out.',
      ],
    ],
    [
      'f-%05d.png',
      { codec: 'tiff' },
      ['--codec: tiff goes into files that end in .tif or .tiff, found .png.'],
    ],
  ])('%s with %j', async (name, choice, messages) => {
    expect(await problemsOf(name, choice)).toEqual(messages);
  });

  it('and one that does is not', async () => {
    expect(await problemsOf('a.mp4', { codec: 'av1', preset: '8', crf: 30 })).toEqual([]);
    expect(await problemsOf('a.mov', { codec: 'hevc-10', preset: 'slow' })).toEqual([]);
    expect(await problemsOf('frames/', { codec: 'tiff-16' })).toEqual([]);
  });
});

describe('what a choice decides', () => {
  it('transparency', async () => {
    expect(await keepsAlpha('a.mov', { codec: 'prores-4444' })).toBe(true);
    expect(await keepsAlpha('a.mov', { codec: 'prores-422hq' })).toBe(false);
    expect(await keepsAlpha('a.webm', { codec: 'av1' })).toBe(false);
    expect(await keepsAlpha('a/', { codec: 'jpeg' })).toBe(false);
  });

  it('an encoder brings its codec with it', async () => {
    const file = join(folder(), 'a.mp4');
    await make(file, 2, { choice: { encoder: 'libx265', preset: 'ultrafast' } });
    expect(probe(file)).toMatchObject({ codec_name: 'hevc', pix_fmt: 'yuv420p' });
  });

  it('crf and bit rate reach the encoder: more of it makes a larger file', async () => {
    const size = async (choice: Choice) => {
      const file = join(folder(), 'a.mp4');
      const clip = await openClip({
        ...{ file, width: 128, height: 128, fps: 30, overwrite: false, ffmpeg, quality: 'draft' },
        choice: { encoder: 'libx264', ...choice },
      });
      let seed = 1;
      for (let frame = 0; frame < 20; frame++) {
        // Numerical Recipes' generator: the same noise every time.
        const noise = Uint8Array.from({ length: 24576 }, () => {
          seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
          return seed >>> 24;
        });
        await clip.write(noise);
      }
      await clip.finish();
      return Number(probe(file).bit_rate);
    };
    expect(await size({ crf: 40 })).toBeLessThan((await size({ crf: 20 })) / 2);
    const [low, high] = [await size({ bitrate: 500_000 }), await size({ bitrate: 2_000_000 })];
    expect(high / low).toBeGreaterThan(2);
    expect(high).toBeGreaterThan(1_000_000);
    expect(high).toBeLessThan(4_000_000);
  });

  it('frames smaller than SVT-AV1 takes go to libaom', async () => {
    const file = join(folder(), 'a.mp4');
    await make(file, 2, { width: 32, height: 32, choice: { codec: 'av1' } });
    expect(probe(file)).toMatchObject({ codec_name: 'av1', width: 32, height: 32 });
  });
});

describe('an encoder that this ffmpeg lacks', () => {
  const poor = { ...ffmpeg, path: 'poor', version: '1', encoders: new Set(['libsvtav1', 'gif']) };
  const failure = (choice: Choice, more = {}) => {
    const file = join(folder(), 'a.mp4');
    const base = { width: 128, height: 64, fps: 30, overwrite: false, quality: 'final' } as const;
    return openClip({ ...base, file, ffmpeg: poor, choice, ...more }).then(
      () => new Error('nothing failed'),
      (error: Error) => error,
    );
  };

  it('gives those it has', async () => {
    const error = await failure({ codec: 'hevc-10' });
    expect(error).toBeInstanceOf(WorkError);
    expect(error.message).toBe(
      '.mp4 needs HEVC with 10 bits, and ffmpeg 1 (poor) was built without the encoder libx265. ' +
        'It can make .mp4 (av1, av1-10), .webm (av1, av1-10), .gif (gif) or single pictures; or name another ffmpeg with --ffmpeg.',
    );
  });

  it('is named where it was asked for by name, or where only it would do', async () => {
    const named = await failure({ codec: 'av1', encoder: 'libaom-av1' });
    expect(named.message).toContain('was built without the encoder libaom-av1. It can make');
    const small = await failure({ codec: 'av1' }, { width: 32, height: 32 });
    expect(small.message).toContain('was built without the encoder libaom-av1. It can make');
  });

  it('is no matter for what is wrong before', async () => {
    expect(await failure({ codec: 'gif' })).toBeInstanceOf(InputError);
  });
});

describe('the table for the README', () => {
  it('has a row for every codec, with what it takes', () => {
    const rows = codecRows();
    expect(rows.find(({ codec }) => codec === 'hevc-10')).toEqual({
      codec: 'hevc-10',
      title: 'HEVC with 10 bits',
      files: '.mp4, .mov',
      bits: 10,
      alpha: false,
      encoders: 'libx265',
      crf: '0 to 51 (20)',
      presets: expect.stringContaining('ultrafast'),
      hardware: true,
    });
    expect(rows.find(({ codec }) => codec === 'tiff-16')).toMatchObject({
      files: 'folder/, %05d.tif',
      bits: 16,
      alpha: true,
    });
    expect(rows.length).toBe(15);
  });
});
