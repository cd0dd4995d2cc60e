import { execFileSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { beforeEach, describe, expect, it } from 'vitest';
import { workFolder } from '../support.js';
import {
  asPicture,
  CAMERA,
  crop,
  decoded,
  rowsOfSphere,
  spherePixels,
  tag,
  tagOf,
} from './support.js';

describe('orbreel master mark', () => {
  const folder = workFolder();
  const mark = (...words: string[]) => folder.run(['master', 'mark', ...words]);
  beforeEach(async () => {
    const file = folder.file('valley.jpg');
    await asPicture(await spherePixels())
      .jpeg()
      .toFile(file);
    tag(file, ...CAMERA, ...crop(999, 400));
  });

  it('replaces what is false and strips the place, pixels untouched', async () => {
    const words = [
      '--heading',
      '137',
      '--software',
      'Windmill',
      '--strip-place',
      '--out',
      'web.jpg',
    ];
    const { code, stdout, stderr } = await mark('valley.jpg', ...words);
    expect([code, stderr]).toEqual([0, '']);
    expect(stdout).toContain('web.jpg: marked.\n');
    expect(stdout).toContain('  CroppedAreaImageHeightPixels: 256 (was 999)\n');
    expect(stdout).toContain('  PoseHeadingDegrees: 137 (was missing)\n');
    expect(stdout).toMatch(/\n {2}place removed: GPS:GPSLatitudeRef, /);
    const [before, after] = [folder.file('valley.jpg'), folder.file('web.jpg')];
    expect(await decoded(after)).toEqual(await decoded(before));
    expect(tagOf(after, 'XMP-GPano:StitchingSoftware')).toBe('Windmill');
    expect(tagOf(after, 'GPSLatitude')).toBeUndefined();
    expect(tagOf(after, 'Make')).toBe('Aerostat Works');
    expect(tagOf(before, 'GPSLatitude')).toBe(46.5);
  });

  it('changes the file itself only with --overwrite, and once', async () => {
    const before = readFileSync(folder.file('valley.jpg'));
    expect(await mark('valley.jpg')).toEqual({
      code: 2,
      stdout: '',
      stderr:
        '--out: is missing; name the file to write, or add --overwrite to change FILE itself\n',
    });
    expect(readFileSync(folder.file('valley.jpg')).equals(before)).toBe(true);
    expect(JSON.parse((await mark('valley.jpg', '--overwrite', '--json')).stdout)).toMatchObject({
      file: 'valley.jpg',
      changed: true,
    });
    const marked = readFileSync(folder.file('valley.jpg'));
    expect((await mark('valley.jpg', '--overwrite')).stdout).toMatch(
      /^valley\.jpg: nothing to change\.\n/,
    );
    expect(readFileSync(folder.file('valley.jpg')).equals(marked)).toBe(true);
  });

  it('takes the latitude of a partial master as complete does', async () => {
    await (await rowsOfSphere(64, 128)).png().toFile(folder.file('part.png'));
    expect((await mark('part.png', '--top', '45', '--overwrite')).code).toBe(0);
    expect(tagOf(folder.file('part.png'), 'XMP-GPano:CroppedAreaTopPixels')).toBe(64);
    expect(tagOf(folder.file('part.png'), 'XMP-GPano:FullPanoHeightPixels')).toBe(256);
  });

  it('takes the place of a partial master in pixels, and says of a flat one that it is flat', async () => {
    await (await rowsOfSphere(64, 128)).png().toFile(folder.file('part.png'));
    const place = ['--full', '512x256', '--at', '0,64'];
    const ended = await mark('part.png', ...place, '--overwrite', '--quiet');
    expect(ended).toEqual({ code: 0, stdout: '', stderr: '' });
    expect(tagOf(folder.file('part.png'), 'XMP-GPano:CroppedAreaTopPixels')).toBe(64);
    expect((await mark('part.png', '--flat', '--out', 'flat.png')).code).toBe(0);
    expect(tagOf(folder.file('flat.png'), 'XMP-GPano:ProjectionType')).toBeUndefined();
  });

  it('marks a video for each kind of reader', async () => {
    const source = 'testsrc2=size=128x64:duration=0.2:rate=10';
    const words = ['-v', 'error', '-f', 'lavfi', '-i', source, '-pix_fmt', 'yuv420p'];
    execFileSync('ffmpeg', [...words, folder.file('clip.mp4')]);
    const { code, stdout } = await mark('clip.mp4', '--out', 'sphere.mp4');
    expect(stdout).toContain('sphere.mp4: marked.');
    expect(code).toBe(0);
    const probe = ['-v', 'error', '-show_streams', '-of', 'json', folder.file('sphere.mp4')];
    const { streams } = JSON.parse(execFileSync('ffprobe', probe, { encoding: 'utf8' }));
    expect(streams[0].side_data_list).toContainEqual(
      expect.objectContaining({ projection: 'equirectangular' }),
    );
  });

  it('of a place that stays says so, and ends with 1', async () => {
    const source = 'testsrc2=size=128x64:duration=0.2:rate=10';
    const words = ['-v', 'error', '-f', 'lavfi', '-i', source, '-pix_fmt', 'yuv420p'];
    execFileSync('ffmpeg', [...words, folder.file('clip.mp4')]);
    // A receiver's sentence (NMEA 0183) among the subtitles, as some cameras log the flight.
    const sentence = '$GPRMC,034100.00,A,4645.0744,N,00950.4743,E,,,010526,,,A';
    writeFileSync(folder.file('log.srt'), `1\n00:00:00,000 --> 00:00:01,000\n${sentence}\n`);
    const [clip, log, logged] = ['clip.mp4', 'log.srt', 'logged.mov'].map(folder.file);
    const both = ['-i', clip!, '-i', log!, '-c:v', 'copy', '-c:s', 'mov_text', logged!];
    execFileSync('ffmpeg', ['-v', 'error', ...both]);
    const { code, stdout, stderr } = await mark('logged.mov', '--strip-place', '--out', 'web.mov');
    expect([code, stdout]).toEqual([1, '']);
    expect(stderr).toMatch(
      /\n {2}STILL TELLING THE PLACE \(cannot be removed\): Track2:GPSDateTime \(inside an embedded picture or track\).*GPSLatitude/,
    );
    expect(await folder.names()).toContain('web.mov');
  });

  it.each([
    [
      ['--heading', '360', '--pitch', '-91', '--full', '512', '--stereo', 'both'],
      `--heading: takes a compass heading from 0 to below 360 degrees, found '360'
--pitch: takes degrees from -90 to 90, found '-91'
--stereo: takes mono, top-bottom, left-right, right-left, found 'both'
--full: takes a width and height in pixels such as 8192x4096, found '512'
`,
    ],
    [
      ['--flat', '--heading', '3'],
      '--flat: removes what claims a sphere: it goes with no claim of one\n',
    ],
    [['--at', '0,1.5'], `--at: takes two whole numbers of pixels such as 0,1024, found '0,1.5'\n`],
    [['--at', '0,1'], "--at: needs --full beside it: the whole sphere's size\n"],
    [['--full', '512x256'], '--full: needs --at beside it: where the picture lies in it\n'],
    [
      ['--full', '512x256', '--at', '0,200'],
      /^master\.png: expected the 256x128 picture to lie within the 512x256 sphere, found it at left 0, top 200, which ends at column 256, row 328\. /,
    ],
  ])('%j is wrong input', async (words, said) => {
    const { code, stdout, stderr } = await mark('master.png', ...words, '--out', 'a.png');
    expect([code, stdout]).toEqual([2, '']);
    if (typeof said === 'string') expect(stderr).toBe(said);
    else expect(stderr).toMatch(said);
    expect(await folder.names()).toEqual(['master.png', 'valley.jpg']);
  });

  it('tells what is wrong as JSON too', async () => {
    const { code, stdout, stderr } = await mark('none.jpg', '--overwrite', '--json');
    expect([code, stderr]).toEqual([2, 'none.jpg: there is no such file\n']);
    expect(JSON.parse(stdout)).toEqual({
      problems: [{ place: 'none.jpg', path: '', message: 'there is no such file' }],
    });
  });

  it('does not replace a file of yours unasked', async () => {
    await folder.write('a.jpg', 'mine');
    expect(await mark('valley.jpg', '--out', 'a.jpg')).toEqual({
      code: 2,
      stdout: '',
      stderr: 'a.jpg: already exists: choose another name, or add --overwrite to replace it.\n',
    });
    expect(await folder.read('a.jpg')).toBe('mine');
  });

  it('names commands that run as printed once their capitals are filled in', async () => {
    const strip = folder.file('strip.jpg');
    await (await rowsOfSphere(60, 120)).jpeg().toFile(strip);
    const before = readFileSync(strip);
    const { code, stderr } = await mark('strip.jpg', '--overwrite');
    expect(code).toBe(2);
    const commands = [...stderr.matchAll(/^ {4}orbreel (.+)$/gm)].map(([, words]) => words ?? '');
    expect(commands).toHaveLength(7);
    // 120 of 256 rows, the horizon in their middle.
    const edge = (60 / 256) * 180;
    // One of each kind: the options are complete's, whose commands are run elsewhere.
    const kinds = commands.filter((command) => !/--bottom|DEG --top|jpg --horizon/.test(command));
    expect(kinds).toHaveLength(4);
    for (const command of kinds) {
      writeFileSync(strip, before);
      const filled = command
        .replace('--across DEG', '--across 359.9')
        .replace('--top DEG', `--top ${edge}`)
        .replace('--bottom DEG', `--bottom -${edge}`)
        .replace('ROW', '60')
        .replace('WxH', '512x256')
        .replace('X,Y', '0,60');
      const ran = await folder.run(filled.split(' '));
      expect(ran).toMatchObject({ code: 0 });
    }
  }, 120_000);
});
