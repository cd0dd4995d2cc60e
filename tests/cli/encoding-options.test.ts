import { execFileSync } from 'node:child_process';
import { readdir } from 'node:fs/promises';
import { describe, expect, it } from 'vitest';
import {
  type EncodingWords,
  endingFor,
  parseBitrate,
  readChoice,
} from '../../src/cli/encoding-options.js';
import { OptionReader } from '../../src/cli/options.js';
import { SHORT_SCENE, workFolder } from './support.js';

const choiceOf = (words: EncodingWords) => {
  const reader = new OptionReader();
  const choice = readChoice(reader, words);
  reader.done();
  return choice;
};

describe('the words about encoding', () => {
  it('are nothing where nothing is said', () => {
    expect(choiceOf({})).toEqual({});
  });

  it('are a choice', () => {
    const words = { codec: 'hevc-10', crf: '20', preset: 'slow', encoder: 'hardware' };
    expect(choiceOf(words)).toEqual({ ...words, crf: 20 });
    expect(choiceOf({ bitrate: '12M' })).toEqual({ bitrate: 12_000_000 });
  });

  it('are all told at once where they are wrong', () => {
    expect(() => choiceOf({ codec: 'h265', crf: '-1', bitrate: '12 MB' })).toThrow(
      `--codec: takes h264, hevc, hevc-10, av1, av1-10, prores-422hq, prores-4444, vp9, webp, gif, png, png-16, tiff, tiff-16, jpeg, found 'h265'. Did you mean 'hevc'?
--crf: takes a whole number such as 20, found '-1'
--bitrate: takes 10k to 1000M bits per second, such as 12M or 800k, found '12 MB'`,
    );
    // What every object has is no codec.
    expect(() => choiceOf({ codec: 'toString' })).toThrow("found 'toString'");
  });

  it.each([
    ['12M', 12_000_000],
    ['2.5M', 2_500_000],
    ['800k', 800_000],
    ['800000', 800_000],
    ['1000M', 1_000_000_000],
    ['9k', undefined],
    ['1001M', undefined],
    ['12m', undefined],
    ['12Mbit', undefined],
    ['', undefined],
    ['-5M', undefined],
  ])('--bitrate %s is %s bits per second', (text, bits) => {
    expect(parseBitrate(text)).toBe(bits);
  });

  it.each([
    [undefined, '.mp4'],
    ['hevc', '.mp4'],
    ['prores-4444', '.mov'],
    ['vp9', '.webm'],
    ['gif', '.gif'],
    ['tiff-16', '/'],
  ] as const)('a clip of the codec %s that nobody names ends in %s', (codec, ending) => {
    expect(endingFor(codec === undefined ? {} : { codec })).toBe(ending);
  });
});

describe('orbreel render', () => {
  const folder = workFolder();
  const facts = (name: string): string[] => {
    const entries = 'stream=codec_name,codec_tag_string,pix_fmt,color_space,nb_read_frames';
    const words = ['-v', 'error', '-count_frames', '-show_entries', entries, '-of', 'csv=p=0'];
    const text = execFileSync('ffprobe', [...words, folder.file(name)], { encoding: 'utf8' });
    return text.trim().split(',');
  };

  it('hands its codec and settings to the encoder, and names the clip for it', async () => {
    await folder.write('short.yaml', SHORT_SCENE.replace('64x32', '64x64'));
    const render = (...words: string[]) => folder.run(['render', 'short.yaml', ...words]);
    expect(await render('--codec', 'hevc-10', '--preset', 'ultrafast', '--quiet')).toEqual({
      code: 0,
      stdout: '',
      stderr: '',
    });
    expect(facts('short-64x64.mp4')).toEqual(['hevc', 'hvc1', 'yuv420p10le', 'bt709', '4']);
    expect((await render('--codec', 'prores-422hq')).stdout).toBe(
      'short-64x64.mov  64x64, 4 frames\n',
    );
    expect(facts('short-64x64.mov')).toEqual(['prores', 'apch', 'yuv422p10le', 'bt709', '4']);
    expect((await render('--codec', 'tiff-16')).code).toBe(0);
    const pictures = await readdir(folder.file('short-64x64'));
    expect(pictures.sort()).toEqual([0, 1, 2, 3].map((number) => `frame-0000${number}.tif`));
  });

  it('says so where software stands in for hardware, once for all its clips', async () => {
    await folder.write('short.yaml', SHORT_SCENE);
    const shapes = ['--shape', '64x32', '--shape', '32x64'];
    const { code, stderr } = await folder.run([
      'render',
      'short.yaml',
      ...shapes,
      '--encoder',
      'h264_videotoolbox',
      '--out',
      'a.mp4',
    ]);
    expect(code).toBe(0);
    expect(stderr.match(/^Note: .*$/gmu)).toEqual(
      process.platform === 'darwin'
        ? null
        : [
            'Note: h264_videotoolbox does not work here (this ffmpeg has none that takes the clip): libx264 encodes instead.',
          ],
    );
  });

  it('refuses what does not go together, and leaves nothing', async () => {
    await folder.write('short.yaml', SHORT_SCENE);
    const words = ['--out', 'a.webm', '--codec', 'prores-4444'];
    expect(await folder.run(['render', 'short.yaml', ...words])).toEqual({
      code: 2,
      stdout: '',
      stderr:
        'a.webm: --codec: .webm holds vp9, av1 or av1-10, found prores-4444: choose one of these, or name the file .mov.\n',
    });
    expect(await folder.names()).toEqual(['master.png', 'short.yaml']);
  });
});
