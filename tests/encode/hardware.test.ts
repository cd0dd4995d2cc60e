import { chmodSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { Choice } from '../../src/encode/clip.js';
import { openClip } from '../../src/encode/clip.js';
import { CODECS, type Codec } from '../../src/encode/codecs.js';
import { type Ffmpeg, findFfmpeg } from '../../src/encode/ffmpeg.js';
import { tryEncoder } from '../../src/encode/trial.js';
import type { Quality } from '../../src/encode/types.js';
import { bars, ffmpeg, folder, listing, probe } from './support.js';

/**
 * A machine with one chip that makes H.264 (`h264_nvenc`), and an ffmpeg that lists more than works.
 * It notes the options of each encoding in `log`.
 */
async function machine(): Promise<{
  ffmpeg: Ffmpeg;
  encodings: () => string[];
  trials: () => string[];
}> {
  const place = folder();
  const path = join(place, 'fake-ffmpeg');
  const listed = 'libx264 libx265 h264_nvenc hevc_nvenc h264_vaapi'.split(' ');
  writeFileSync(
    path,
    `#!/bin/sh
case "$*" in
  *-version*) echo "ffmpeg version 0-fake Copyright" ; exit 0 ;;
  *-encoders*) printf '${listed.map((name) => ` V....D ${name} x\\n`).join('')}' ; exit 0 ;;
  *-muxers*) printf '  E mp4 MP4\\n' ; exit 0 ;;
  *"-f null"*) echo "$*" >> '${place}/trials' ;;
  *) echo "$*" >> '${place}/encodings' ;;
esac
cat > /dev/null
case "$*" in
  *_vaapi*) echo '[AVHWDeviceContext @ 0x1] No VA display found for device' >&2 ; exit 1 ;;
  *hevc_nvenc*) echo '[hevc_nvenc @ 0x1] No capable devices found' >&2 ; exit 1 ;;
esac
`,
  );
  chmodSync(path, 0o755);
  const lines = (name: string) => () =>
    listing(place).includes(name) ? readFileSync(join(place, name), 'utf8').trim().split('\n') : [];
  return { ffmpeg: await findFfmpeg(path), encodings: lines('encodings'), trials: lines('trials') };
}

async function encode(on: Ffmpeg, quality: Quality, choice: Choice, more = {}): Promise<string[]> {
  const notes: string[] = [];
  const clip = await openClip({
    ...{ file: join(folder(), 'a.mp4'), width: 128, height: 64, fps: 30, overwrite: false },
    ...{ ffmpeg: on, quality, choice, onNote: (note: string) => notes.push(note), ...more },
  });
  const size = { width: 128, height: 64, ...more };
  await clip.write(bars(size.width, size.height, clip.pixelFormat));
  await clip.finish();
  return notes;
}

describe.skipIf(process.platform === 'win32')('hardware', () => {
  it('is not even tried where nobody asks for it', async () => {
    const { ffmpeg: fake, encodings, trials } = await machine();
    expect(await encode(fake, 'final', {})).toEqual([]);
    expect(trials()).toEqual([]);
    expect(encodings()[0]).toContain('-c:v libx264');
  });

  it('is used where it is asked for, once it has encoded a few frames with the same options', async () => {
    const { ffmpeg: fake, encodings, trials } = await machine();
    for (const encoder of ['hardware', 'h264_nvenc']) {
      expect(await encode(fake, 'final', { encoder, crf: 23, preset: 'p7' })).toEqual([]);
    }
    const [first] = encodings();
    expect(first).toContain(
      '-c:v h264_nvenc -pix_fmt nv12 -profile:v high -preset p7 -tune hq -rc vbr -cq 23 -b:v 0 -color_range tv',
    );
    // The vaapi one has no presets, so it is no candidate; the other was tried once for both clips.
    expect(trials().length).toBe(1);
    expect(trials()[0]).toContain('-video_size 256x256');
    expect(trials()[0]).toContain('-c:v h264_nvenc -pix_fmt nv12 -profile:v high -preset p6');
  });

  it('is used for drafts, unless they say how they want to be encoded', async () => {
    const { ffmpeg: fake, encodings } = await machine();
    expect(await encode(fake, 'draft', {})).toEqual([]);
    expect(await encode(fake, 'draft', { crf: 30 })).toEqual([]);
    expect(await encode(fake, 'draft', { encoder: 'libx264' })).toEqual([]);
    const used = encodings().map((line) => /-c:v (\S+)/.exec(line)?.[1]);
    expect(used).toEqual(['h264_nvenc', 'libx264', 'libx264']);
  });

  it('that only ffmpeg believes in gives way to software, with a note to who asked', async () => {
    const { ffmpeg: fake, encodings } = await machine();
    expect(await encode(fake, 'final', { codec: 'hevc', encoder: 'hardware' })).toEqual([
      'Hardware for HEVC does not work here (hevc_nvenc: No capable devices found): libx265 encodes instead.',
    ]);
    expect(await encode(fake, 'final', { encoder: 'h264_vaapi', crf: 25 })).toEqual([
      'h264_vaapi does not work here (h264_vaapi: No VA display found for device): libx264 encodes instead.',
    ]);
    expect(await encode(fake, 'draft', { codec: 'hevc' })).toEqual([]);
    const used = encodings().map((line) => /-c:v (\S+)/.exec(line)?.[1]);
    expect(used).toEqual(['libx265', 'libx264', 'libx265']);
    expect(encodings()[1]).toContain('-crf 25');
  });

  it('a preset that only the chip knows is said to be left out', async () => {
    const { ffmpeg: fake } = await machine();
    const [note] = await encode(fake, 'final', {
      codec: 'hevc',
      encoder: 'hevc_nvenc',
      preset: 'p7',
    });
    expect(note).toContain('libx265 encodes instead. libx265 has no preset p7: it uses its usual');
  });

  it('takes no frames larger than its chip does', async () => {
    const { ffmpeg: fake } = await machine();
    const [note] = await encode(
      fake,
      'final',
      { encoder: 'hardware' },
      { width: 5760, height: 64 },
    );
    expect(note).toBe(
      'Hardware for H.264 does not work here (this ffmpeg has none that takes the clip): libx264 encodes instead.',
    );
  });

  it.each(
    Object.entries(CODECS).flatMap(([name, codec]: [string, Codec]) =>
      codec.encoders
        .filter((encoder) => encoder.hardware && ffmpeg.encoders.has(encoder.name))
        .map((encoder) => ({ name, codec, encoder })),
    ),
  )(
    '$encoder.name for $name, where it fails, fails for want of a chip and not of an option',
    async ({ codec, encoder }) => {
      const wrong = /parse|option|undefined|unrecognized|no such filter|invalid/i;
      const { works, reason } = await tryEncoder(ffmpeg, encoder, codec, 'final');
      expect(reason === '').toBe(works);
      expect(reason).not.toMatch(wrong);
      // VA-API looks for its display before it reads options, so there is nothing to compare.
      if (encoder.before) return;
      // What ffmpeg says of a profile that it does not know, so that the check above can fail.
      const broken = { ...encoder, options: () => ['-profile:v', 'cubist'] };
      const other = await tryEncoder(ffmpeg, broken, { ...codec, bits: -1 }, 'final');
      expect(other.reason).toMatch(wrong);
    },
  );

  it('of this very machine works, or its stand-in does', async () => {
    const place = folder();
    const file = join(place, 'a.mp4');
    const notes = await encode(
      ffmpeg,
      'draft',
      { encoder: 'hardware' },
      { file, width: 256, height: 256 },
    );
    expect(probe(file)).toMatchObject({
      ...{ codec_name: 'h264', width: 256, height: 256, nb_read_frames: '1' },
      ...{ color_range: 'tv', color_space: 'bt709' },
    });
    for (const note of notes) expect(note).toMatch(/does not work here \(.+\): libx264 encodes/);
    expect(listing(place)).toEqual(['a.mp4']);
  });
});
