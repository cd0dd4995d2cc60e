import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { InputError } from '../../../src/errors.js';
import { readVideoFacts } from '../../../src/master/video/facts.js';
import { type FrameSource, openFrames } from '../../../src/master/video/frames.js';
import { HEIGHT, makeCounterVideo, readCounter, WIDTH } from '../../support/counter-video.js';

let folder: string;
const inFolder = (name: string) => join(folder, name);

/** Alternately 60 and 20 ms. */
const UNEVEN = 'N*40+20*mod(N\\,2)';
const unevenTime = (n: number) => (n * 40 + 20 * (n % 2)) / 1000;

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'orbreel-frames-'));
  makeCounterVideo({ file: inFolder('even.mp4'), frames: 90, fps: 30000 / 1001, beep: 1 });
  makeCounterVideo({ file: inFolder('even.mkv'), frames: 90 });
  makeCounterVideo({ file: inFolder('uneven.mp4'), frames: 60, times: UNEVEN });
  makeCounterVideo({ file: inFolder('late.mp4'), frames: 30, times: 'N*40+1000' });
});
afterAll(() => rmSync(folder, { recursive: true }));

async function withFrames<T>(name: string, work: (source: FrameSource) => Promise<T>): Promise<T> {
  const source = await openFrames(await readVideoFacts(inFolder(name)));
  try {
    return await work(source);
  } finally {
    await source.close();
  }
}

async function counterAt(source: FrameSource, seconds: number): Promise<number> {
  const { data } = await source.frameAt(seconds);
  const lumaAt = (u: number, v: number) =>
    data[Math.floor(v * HEIGHT) * WIDTH + Math.floor(u * WIDTH)]!;
  return readCounter(lumaAt, 255);
}

async function countersAt(name: string, times: readonly number[]): Promise<number[]> {
  return withFrames(name, async (source) => {
    const found: number[] = [];
    for (const time of times) found.push(await counterAt(source, time));
    return found;
  });
}

const upTo = (count: number) => Array.from({ length: count }, (_, n) => n);

describe('the frames of a video', () => {
  it.each([
    ['even.mp4', 1001 / 30000],
    // Matroska rounds times to milliseconds: a third and two thirds of them, either way.
    ['even.mkv', 1 / 30],
  ])('are shown from their very instants on: %s', async (name, frame) => {
    const all = upTo(90);
    expect(
      await countersAt(
        name,
        all.map((n) => n * frame),
      ),
    ).toEqual(all);
    expect(
      await countersAt(
        name,
        all.map((n) => (n + 0.95) * frame),
      ),
    ).toEqual(all);
  });

  it('last as long as each of them says', async () => {
    const all = upTo(60);
    expect(await countersAt('uneven.mp4', all.map(unevenTime))).toEqual(all);
    const ends = all.slice(0, -1).map((n) => unevenTime(n + 1) - 0.002);
    expect(await countersAt('uneven.mp4', ends)).toEqual(all.slice(0, -1));
    const facts = await readVideoFacts(inFolder('uneven.mp4'));
    expect(facts.variable).toBe(true);
  });

  it('are counted from the first one, whenever that is', async () => {
    const all = upTo(30);
    expect(
      await countersAt(
        'late.mp4',
        all.map((n) => n * 0.04),
      ),
    ).toEqual(all);
    expect(await countersAt('late.mp4', [0.9, 0.1])).toEqual([22, 2]);
  });

  it('are found in any order', async () => {
    const wanted = [80, 3, 4, 4, 79, 41, 40, 39, 0, 89, 25, 24, 23, 24];
    expect(
      await countersAt(
        'even.mp4',
        wanted.map((n) => (n * 1001) / 30000),
      ),
    ).toEqual(wanted);
  });

  it('are found backwards, one by one', async () => {
    const wanted = upTo(90).reverse();
    expect(
      await countersAt(
        'even.mkv',
        wanted.map((n) => n / 30),
      ),
    ).toEqual(wanted);
  });

  it('end with one that stays', async () => {
    expect(await countersAt('even.mp4', [3.5, 100, 2.9])).toEqual([89, 89, 86]);
  });

  it('take no more memory than a few of them on the way forwards', async () => {
    await withFrames('even.mp4', async (source) => {
      const memory = new Set<ArrayBufferLike>();
      for (const n of upTo(90)) memory.add((await source.frameAt((n * 1001) / 30000)).data.buffer);
      expect(memory.size).toBeLessThanOrEqual(6);
    });
  });
});

describe('what is wrong with a video', () => {
  it.each([
    [
      'square.mp4',
      ['-f', 'lavfi', '-i', 'color=size=256x256:duration=0.2'],
      'expected a video of the whole sphere, twice as wide as high, found 256x256: if it is stereoscopic, crop it to one eye first',
    ],
    [
      'sound.mp4',
      ['-f', 'lavfi', '-i', 'sine=duration=0.2'],
      'expected a video, found a file without moving pictures (audio)',
    ],
    [
      'pq.mp4',
      [
        ...['-f', 'lavfi', '-i', 'color=size=256x128:duration=0.2', '-color_trc', 'smpte2084'],
        ...['-color_primaries', 'bt2020', '-colorspace', 'bt2020nc'],
      ],
      "is HDR video (PQ), which would come out pale: convert it to BT.709 first, in an editor or with ffmpeg's filters zscale and tonemap",
    ],
  ])('is told in a sentence: %s', async (name, args, message) => {
    execFileSync('ffmpeg', ['-v', 'error', ...args, inFolder(name)]);
    await expect(readVideoFacts(inFolder(name))).rejects.toThrow(`${inFolder(name)}: ${message}`);
  });

  it('is told where its display matrix turns it, with the command that mends it', async () => {
    const size = 'color=size=256x128:duration=0.2';
    const write = (...args: string[]) => execFileSync('ffmpeg', ['-v', 'error', ...args]);
    write('-f', 'lavfi', '-i', size, inFolder('stored.mp4'));
    // By ExifTool: the way to say so on ffmpeg's command line depends on its age.
    write('-i', inFolder('stored.mp4'), '-c', 'copy', inFolder('on its side.mp4'));
    execFileSync('exiftool', [
      '-q',
      '-overwrite_original',
      '-Rotation=90',
      inFolder('on its side.mp4'),
    ]);
    const complaint: unknown = await readVideoFacts(inFolder('on its side.mp4')).catch((e) => e);
    expect(complaint).toBeInstanceOf(InputError);
    const said = (complaint as InputError).message;
    expect(said).toContain(
      'on its side.mp4: expected a video of the whole sphere, twice as wide as high, found 256x128 that its display matrix turns on its side, to 128x256; if it stands upright as it is stored, take the turn out: ffmpeg ',
    );
    const [, command = ''] = /: (ffmpeg .+)$/u.exec(said) ?? [];
    const words = command.replace('OUT.mp4', `"${inFolder('upright.mp4')}" -v error`);
    execFileSync('sh', ['-c', words]);
    expect(await readVideoFacts(inFolder('upright.mp4'))).toMatchObject({
      width: 256,
      height: 128,
    });
  });

  it('is told where its index is missing', async () => {
    const whole = readFileSync(inFolder('even.mp4'));
    writeFileSync(inFolder('cut.mp4'), whole.subarray(0, whole.length / 2));
    await expect(readVideoFacts(inFolder('cut.mp4'))).rejects.toThrow(
      /cut\.mp4: expected a video, but ffprobe cannot read it \(.+\): the file is damaged or was not copied whole; copy it again from its source$/u,
    );
  });

  it('is told where frames are damaged', async () => {
    const bytes = readFileSync(inFolder('even.mp4'));
    bytes.fill(0x55, 4000, Math.floor(bytes.length * 0.6));
    writeFileSync(inFolder('damaged.mp4'), bytes);
    await expect(
      countersAt(
        'damaged.mp4',
        upTo(90).map((n) => n / 30),
      ),
    ).rejects.toThrow(
      /damaged\.mp4: its frames cannot be decoded at .+ s \(.+\): the file is damaged; copy it again from its source, or re-encode it$/u,
    );
  });
});
