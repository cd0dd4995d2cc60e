import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { openClip } from '../../src/encode/clip.js';
import { bitCeiling, h264Level, LEVELS, type Level, levelOfSizes } from '../../src/encode/level.js';
import { decode, ffmpeg, folder, make, probe } from './support.js';

const named = (name: string): Level => LEVELS.find((level) => level.name === name)!;
const rate = { numerator: 30, denominator: 1 };

describe('levelOfSizes', () => {
  const frames = (bytes: number, count: number) => Array<number>(count).fill(bytes);

  // Level 4.0 in High profile: 25 Mbit/s and a buffer of 31.25 Mbit (Tables ).
  it('keeps the level where the bits come no faster than it allows, however many', () => {
    expect(levelOfSizes(named('4.0'), frames(25e6 / 8 / 30, 3000), rate).name).toBe('4.0');
  });

  it('takes one frame as large as the buffer, and not a byte more', () => {
    expect(levelOfSizes(named('4.0'), [31.25e6 / 8], rate).name).toBe('4.0');
    expect(levelOfSizes(named('4.0'), [31.25e6 / 8 + 1], rate).name).toBe('4.1');
  });

  it('raises it where the buffer overflows in the end: 35 Mbit/s for 4 s are 40 Mbit too many', () => {
    expect(levelOfSizes(named('4.0'), frames(35e6 / 8 / 30, 90), rate).name).toBe('4.0');
    expect(levelOfSizes(named('4.0'), frames(35e6 / 8 / 30, 120), rate).name).toBe('4.1');
  });

  it('forgets a peak once it has drained', () => {
    const peak = 30e6 / 8;
    const apart = [peak, ...frames(0, 40), peak];
    expect(levelOfSizes(named('4.0'), apart, rate).name).toBe('4.0');
    expect(levelOfSizes(named('4.0'), [peak, 0, 0, peak], rate).name).toBe('4.1');
  });

  it('ends at the highest', () => {
    expect(levelOfSizes(named('6.2'), frames(1e9, 5), rate).name).toBe('6.2');
  });
});

describe('bitCeiling', () => {
  it('is that of 5.1 at least, so that the picture is not starved', () => {
    expect(bitCeiling(named('3.1')).bitRate).toBe(300_000);
    expect(bitCeiling(named('4.0'))).toBe(named('5.1'));
    expect(bitCeiling(named('6.1'))).toBe(named('6.1'));
  });

  it('makes way for the bit rate that is asked for', () => {
    expect(bitCeiling(named('4.0'), 300_000_000).name).toBe('5.1');
    expect(bitCeiling(named('4.0'), 300_000_001).name).toBe('6.1');
    expect(bitCeiling(named('4.0'), 9e9).name).toBe('6.2');
  });
});

/** Writes 120 frames of 256x256 at 240 frames per second, noise or grey, and yields what ffprobe says. */
async function clipOf(kind: 'noise' | 'grey', file: string) {
  const [width, height] = [256, 256];
  const clip = await openClip({
    ...{ file, width, height, fps: 240, overwrite: false, ffmpeg, quality: 'draft' },
    choice: { encoder: 'libx264', crf: 1 },
  });
  let seed = 1;
  for (let frame = 0; frame < 120; frame++) {
    const bytes = new Uint8Array(width * height * 1.5).fill(128);
    for (let at = 0; kind === 'noise' && at < bytes.length; at++) {
      // Numerical Recipes' generator: the same noise every time.
      seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
      bytes[at] = seed >>> 24;
    }
    await clip.write(bytes);
  }
  await clip.finish();
  return probe(file);
}

describe.each(['a.mp4', 'a.mov'])('the level that %s says', (name) => {
  it('is the lowest for its size and rate where the bits fit', async () => {
    // 256 macroblocks, 61440 a second: 3.1.
    expect((await clipOf('grey', join(folder(), name))).level).toBe(31);
  });

  it('is what its bits need, in the header and in the stream, and every frame still decodes', async () => {
    const file = join(folder(), name);
    const { level, nb_read_frames } = await clipOf('noise', file);
    expect(nb_read_frames).toBe('120');
    expect(decode(file, 'yuv420p').length).toBe(120 * 256 * 256 * 1.5);
    expect(level).toBe(needed(file));
    expect(level).toBeGreaterThan(31);
    const bytes = readFileSync(file);
    const at = bytes.indexOf('avcC') + 4;
    // 14496-15: version, profile, constraints, level; then the parameter set: length, 0x67, the same three.
    expect([...bytes.subarray(at, at + 4)]).toEqual([1, 100, 0, level]);
    expect([...bytes.subarray(at + 8, at + 12)]).toEqual([0x67, 100, 0, level]);
  });

  /** The same question put to ffprobe's packets, with the table typed off again: High profile, Mbit/s, Mbit. */
  function needed(file: string): number | undefined {
    const words = ['-v', 'error', '-show_entries', 'packet=size', '-of', 'csv=p=0', file];
    const sizes = execFileSync('ffprobe', words, { encoding: 'utf8' }).trim().split(/\s+/);
    const table = [
      [31, 17.5, 17.5],
      [32, 25, 25],
      [40, 25, 31.25],
      [41, 62.5, 78.125],
      [50, 168.75, 168.75],
      [51, 300, 300],
    ];
    return table.find(([, perSecond = 0, buffer = 0]) => {
      let held = 0;
      return sizes.every((size) => {
        held += (Number.parseInt(size, 10) * 8) / 1e6;
        const fits = held <= buffer;
        held = Math.max(0, held - perSecond / 240);
        return fits;
      });
    })?.[0];
  }
});

it('the sphere in 5.7K and 8K is level 6.0 at 30 frames per second, and 4K is 5.1', () => {
  const of = (width: number, height: number) => h264Level(width, height, rate)?.name;
  expect([of(3840, 1920), of(5760, 2880), of(7680, 3840)]).toEqual(['5.1', '6.0', '6.0']);
});

it('a clip that --bitrate asks much of may have it', async () => {
  const file = join(folder(), 'a.mp4');
  await make(file, 2, { choice: { bitrate: 100_000_000 } });
  expect(probe(file).codec_name).toBe('h264');
});
