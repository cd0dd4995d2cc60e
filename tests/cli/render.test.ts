import { execFileSync } from 'node:child_process';
import { chmod, mkdir } from 'node:fs/promises';
import { beforeEach, describe, expect, it } from 'vitest';
import { fpsTakes, timeTakes } from '../../src/scene/time.js';
import { SHORT_SCENE, workFolder } from './support.js';

/** Long enough to be stopped in the middle. */
const LONG_SCENE = SHORT_SCENE.replace('duration: 0.4', 'duration: 600').replace(
  '64x32',
  '640x640',
);

describe('orbreel render', () => {
  const folder = workFolder();
  beforeEach(() => folder.write('short.yaml', SHORT_SCENE));
  const render = (...words: string[]) => folder.run(['render', 'short.yaml', ...words]);
  const facts = (name: string) => {
    const entries = 'stream=width,height,nb_read_frames,r_frame_rate';
    const words = ['-v', 'error', '-count_frames', '-show_entries', entries, '-of', 'csv=p=0'];
    return execFileSync('ffprobe', [...words, folder.file(name)], { encoding: 'utf8' }).trim();
  };

  it('writes a clip of each shape, tells how far it is and where they are', async () => {
    const { code, stdout, stderr } = await render('--shape', '64x32', '--shape', '32x48');
    expect(stdout).toBe('short-64x32.mp4  64x32, 4 frames\nshort-32x48.mp4  32x48, 4 frames\n');
    expect(stderr).toMatch(/^short-64x32\.mp4: 1 of 8 frames\n/);
    expect(stderr).toMatch(/short-32x48\.mp4: 8 of 8 frames, [\d.]+ fps\n$/);
    expect(code).toBe(0);
    expect(facts('short-64x32.mp4')).toBe('64,32,10/1,4');
    expect(facts('short-32x48.mp4')).toBe('32,48,10/1,4');
    const made = ['short-32x48.mp4', 'short-64x32.mp4'];
    expect(await folder.names()).toEqual(['master.png', ...made, 'short.yaml']);
  });

  it('renders a part, at another rate, and is silent with --quiet', async () => {
    const words = ['--from', '0.1', '--to', '75%', '--fps', '20', '--out', 'a.mp4'];
    const ended = await render(...words, '--quality', 'draft', '--quiet');
    expect(ended).toEqual({ code: 0, stdout: '', stderr: '' });
    expect(facts('a.mp4')).toBe('64,32,20/1,4');
  });

  it('says what becomes of transparent parts where none can be', async () => {
    await folder.write('clear.yaml', `${SHORT_SCENE}background: transparent\n`);
    const note = async (command: string, out: string, ...words: string[]) => {
      const ended = await folder.run([command, 'clear.yaml', '--out', out, ...words]);
      expect(ended.code).toBe(0);
      return ended.stderr.split('\n').find((line) => line.includes('transparen'));
    };
    expect(await note('render', 'a.mp4')).toBe(
      'Note: H.264 has no transparency: what is transparent lies over black there; .mov with --codec prores-4444, .webm, .gif, .webp and single PNG pictures keep it.',
    );
    expect(await note('render', 'a.webm')).toBeUndefined();
    expect(await note('render', 'f-%d.jpg')).toMatch(/^Note: JPEG has no transparency/u);
    expect(await note('render', 'f-%d.png', '--quiet')).toBeUndefined();
    expect(await note('still', 'a.jpg', '--at', '0')).toBe(
      'Note: JPEG has no transparency: what is transparent lies over black there; .png, .webp and .tif keep it.',
    );
    expect(await note('still', 'a.png', '--at', '0')).toBeUndefined();
  });

  it('adds the shape to --out when there are several', async () => {
    await mkdir(folder.file('out'));
    const shapes = ['--shape', '64x32', '--shape', '32x48'];
    const { code, stdout } = await render('--out', 'out/f-%05d.png', ...shapes);
    expect([code, stdout]).toEqual([
      0,
      'out/f-64x32-%05d.png  64x32, 4 frames\nout/f-32x48-%05d.png  32x48, 4 frames\n',
    ]);
  });

  it('replaces a clip only with --overwrite', async () => {
    await folder.write('short-64x32.mp4', 'mine');
    expect(await render()).toEqual({
      code: 2,
      stdout: '',
      stderr:
        'short-64x32.mp4: already exists: choose another name, or add --overwrite to replace it.\n',
    });
    expect(await folder.read('short-64x32.mp4')).toBe('mine');
    expect((await render('--overwrite')).code).toBe(0);
    expect(facts('short-64x32.mp4')).toBe('64,32,10/1,4');
  });

  it.each([
    [
      ['--fps', '0', '--from', 'x', '--quality', 'superb'],
      `--fps: ${fpsTakes}, found '0'
--quality: takes draft, final or best, found 'superb'
--from: ${timeTakes}, found 'x'
`,
    ],
    [
      ['--from', '1', '--to', '2'],
      `--from: takes a time from 0 to the scene's duration, 0.4 s, found 1 s
--to: takes a time from 0 to the scene's duration, 0.4 s, found 2 s
`,
    ],
    [
      ['--from', '0.3', '--to', '0.1'],
      '--to: leaves no frame to render: --to must lie at least one frame after --from\n',
    ],
    [
      ['--out', 'a.avi'],
      "a.avi: a clip's name ends in one of .mp4, .mov, .webm, .gif, .webp, or names a folder (with / at its end) or a pattern like frames-%05d.png for single pictures, found .avi.\n",
    ],
    [['--ffmpeg', './none'], '--ffmpeg: ./none: no working ffmpeg: there is no such program.\n'],
  ])('%j is wrong input and leaves nothing', async (words, stderr) => {
    expect(await render(...words)).toEqual({ code: 2, stdout: '', stderr });
    expect(await folder.names()).toEqual(['master.png', 'short.yaml']);
  });

  it("fails with ffmpeg's last words and leaves nothing", async () => {
    const real = execFileSync('sh', ['-c', 'command -v ffmpeg'], { encoding: 'utf8' }).trim();
    await folder.write(
      'ffmpeg',
      `#!/bin/sh
case "$*" in *-encoders*|*-muxers*|*-version*) exec ${real} "$@" ;; esac
echo 'the lens cap is on' >&2
exit 3
`,
    );
    await chmod(folder.file('ffmpeg'), 0o755);
    const { code, stdout, stderr } = await render('--ffmpeg', './ffmpeg', '--quiet');
    expect({ code, stdout, stderr }).toEqual({
      code: 1,
      stdout: '',
      stderr:
        'ffmpeg ended with exit status 3 while making short-64x32.mp4. Its last words:\n  the lens cap is on\n',
    });
    expect(await folder.names()).toEqual(['ffmpeg', 'master.png', 'short.yaml']);
  });

  it.each(['SIGINT', 'SIGTERM'] as const)(
    'leaves nothing behind when %s stops it',
    async (signal) => {
      await folder.write('long.yaml', LONG_SCENE);
      let begun = false;
      const { code, stdout, stderr } = await folder.run(['render', 'long.yaml'], {
        onStderr(text, stop) {
          if (begun || !text.includes(' of 6000 frames')) return;
          begun = true;
          stop(signal);
        },
      });
      expect(begun).toBe(true);
      expect([code, stdout]).toEqual([130, '']);
      expect(stderr).toMatch(/^(long-640x640\.mp4: .*\n)+Interrupted\.\n$/);
      expect(await folder.names()).toEqual(['long.yaml', 'master.png', 'short.yaml']);
    },
  );
});
