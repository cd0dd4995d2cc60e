import { readFileSync } from 'node:fs';
import { beforeEach, describe, expect, it } from 'vitest';
import { photo } from '../../support/photos.js';
import { workFolder } from '../support.js';
import { asPicture, CAMERA, crop, tag, WIDTH } from './support.js';

const ROW = 3 * WIDTH;

describe('orbreel master finish', () => {
  const folder = workFolder();
  const finish = (...words: string[]) => folder.run(['master', 'finish', ...words]);
  beforeEach(async () => {
    const data = Buffer.from((await photo('dawn')).data).subarray(30 * ROW);
    await asPicture(data).jpeg({ quality: 95 }).toFile(folder.file('part.jpg'));
  });

  it('sums up what it did, a line a step; a second run is a copy', async () => {
    tag(folder.file('part.jpg'), ...CAMERA, ...crop(226, 30));
    const first = await finish('part.jpg', '--out', 'done.jpg');
    // The cap above 90 - 30 x 180 / 256 degrees: (1 - sin 68.90625°) / 2.
    expect(first.stdout.split('\n').slice(0, 3)).toEqual([
      'done.jpg: finished.',
      '  inspect   512x226 JPEG, covers 96.6 % of the sphere, no false claim',
      '  complete  512x256, the 512x226 picture at 0,30: 1 hole, 3.4 % of the sphere, filled (texture)',
    ]);
    expect(first.stdout).toMatch(
      /\n {2}level {5}turned: it leaned by pitch 1\.\d°, roll -?0\.\d° \(confidence 0\.\d\d\)\n/,
    );
    expect(first.stdout).toMatch(/\n {2}mark {6}set .*CroppedAreaImageHeightPixels/);
    expect(first.stdout).toContain(
      '\n  note: Its metadata tell where it was taken: --strip-place removes that before publishing.\n',
    );
    expect(first.stderr).toMatch(/done\.jpg: 100%\n$/);
    expect(first.code).toBe(0);

    const second = await finish('done.jpg', '--out', 'again.jpg');
    expect(second.stdout).toMatch(
      /^again\.jpg: nothing to change, it is a copy\.\n {2}inspect .*\n {2}complete {2}whole already\n {2}level {5}stands level already .*\n {2}mark {6}right already\n/,
    );
    const [done, again] = ['done.jpg', 'again.jpg'].map((name) => readFileSync(folder.file(name)));
    expect(again!.equals(done!)).toBe(true);
    expect(await folder.names()).toEqual(['again.jpg', 'done.jpg', 'master.png', 'part.jpg']);
  });

  it('takes the place of a partial master, and leaves as it is what is to be kept', async () => {
    const words = ['--top', '68.90625', '--keep', 'tilt', '--heading', '90', '--json', '--quiet'];
    const { code, stdout, stderr } = await finish('part.jpg', ...words, '--out', 'done.png');
    expect([code, stderr]).toEqual([0, '']);
    const report = JSON.parse(stdout);
    expect(report.completed.placed).toMatchObject({ left: 0, top: 30 });
    expect(report.levelled).toEqual({ status: 'kept' });
    expect(report.mark.changes).toContainEqual({ field: 'PoseHeadingDegrees', to: '90' });
  });

  it('gathers what is wrong', async () => {
    const words = ['--keep', 'seam', '--heading', 'north', '--at', '0,-1'];
    expect(await finish('part.jpg', ...words, '--out', 'a.png')).toEqual({
      code: 2,
      stdout: '',
      stderr: `--keep: takes holes or tilt, found 'seam'
--at: takes two whole numbers of pixels such as 0,1024, found '0,-1'
--heading: takes a compass heading from 0 to below 360 degrees, found 'north'
`,
    });
  });

  it('leaves a video to the commands that are for videos', async () => {
    const { execFileSync } = await import('node:child_process');
    const source = 'testsrc2=size=128x64:duration=0.2:rate=10';
    execFileSync('ffmpeg', ['-v', 'error', '-f', 'lavfi', '-i', source, folder.file('clip.mp4')]);
    expect(await finish('clip.mp4', '--out', 'a.png')).toEqual({
      code: 2,
      stdout: '',
      stderr:
        "clip.mp4: expected a photo, found a video (MP4): 'orbreel master inspect' and 'orbreel master mark' are for videos too\n",
    });
  });

  it('Ctrl-C leaves nothing, and the master as it was', async () => {
    tag(folder.file('part.jpg'), ...crop(226, 30));
    const before = readFileSync(folder.file('part.jpg'));
    let asked = false;
    const { code, stderr } = await folder.run(
      ['master', 'finish', 'part.jpg', '--out', 'done.jpg'],
      {
        onStderr: (text, stop) => {
          if (!asked && text.includes('(reading)')) stop('SIGINT');
          asked ||= text.includes('(reading)');
        },
      },
    );
    expect([code, stderr.endsWith('Interrupted.\n')]).toEqual([130, true]);
    expect(await folder.names()).toEqual(['master.png', 'part.jpg']);
    expect(readFileSync(folder.file('part.jpg')).equals(before)).toBe(true);
  });
});
