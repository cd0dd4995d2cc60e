import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Choice } from '../../src/encode/clip.js';
import { findFfmpeg } from '../../src/encode/ffmpeg.js';
import { markSphericalVideo, readSpherical } from '../../src/encode/spherical.js';
import { renderClips, renderStills } from '../../src/render.js';
import { loadScene } from '../../src/scene/load.js';
import type { Sequence } from '../../src/scene/types.js';
import {
  COLOUR_SIDE,
  COLOUR_TOP,
  COLOURS,
  HEIGHT,
  makeCounterVideo,
  readCounter,
  WIDTH,
} from '../support/counter-video.js';

/** Of the whole sphere in a frame. */
const ACROSS = 256;
const DOWN = 128;

let folder: string;
const inFolder = (name: string) => join(folder, name);

const HEVC_10 = ['-c:v', 'libx265', '-x265-params', 'lossless=1:log-level=error'];

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'orbreel-video-'));
  makeCounterVideo({ file: inFolder('even.mp4'), frames: 75, fps: 25, beep: 1 });
  makeCounterVideo({ file: inFolder('uneven.mkv'), frames: 40, times: 'N*40+20*mod(N\\,2)' });
  makeCounterVideo({ file: inFolder('ten.mp4'), frames: 10, bits: 10, codec: HEVC_10 });
});
afterAll(() => rmSync(folder, { recursive: true }));

let count = 0;

async function sceneOf(fields: string, shape = `${ACROSS}x${DOWN}`): Promise<Sequence> {
  const file = inFolder(`scene-${count++}.yaml`);
  writeFileSync(
    file,
    `${fields}
outputs: [${shape}]
keyframes:
  - {at: 0, fov: 360, fovSide: horizontal, projection: equirectangular}
`,
  );
  return loadScene(file);
}

async function renderTo(
  name: string,
  scene: Sequence,
  more: { from?: number; to?: number; choice?: Choice } = {},
): Promise<string> {
  const file = inFolder(name);
  await renderClips({
    ...{ scene, quality: 'final', overwrite: false, ffmpeg: await findFfmpeg() },
    deliveries: [{ output: scene.outputs[0]!, file }],
    ...more,
  });
  return file;
}

async function counterOf(file: string): Promise<number> {
  const { data, info } = await sharp(file)
    .removeAlpha()
    .raw()
    .toBuffer({ resolveWithObject: true });
  const lumaAt = (u: number, v: number) =>
    data[(Math.floor(v * info.height) * info.width + Math.floor(u * info.width)) * 3 + 1]!;
  return readCounter(lumaAt, 255);
}

/** The counters of a scene's frames. */
async function countersOf(fields: string, part: { from?: number; to?: number } = {}) {
  const name = `frames-${count++}/`;
  await renderTo(name, await sceneOf(fields), part);
  const files = readdirSync(inFolder(name)).sort();
  return Promise.all(files.map((file) => counterOf(join(inFolder(name), file))));
}

const upTo = (length: number) => Array.from({ length }, (_, n) => n);

describe('a video master', () => {
  it('shows frame n in frame n', async () => {
    expect(await countersOf('master: even.mp4\nduration: 0.4\nfps: 25')).toEqual(upTo(10));
  });

  it('shows what its times say at another rate than its own', async () => {
    // Frame n of 50 a second shows frame n / 2 of 25.
    const twice = await countersOf('master: even.mp4\nduration: 0.24\nfps: 50');
    expect(twice).toEqual(upTo(12).map((n) => Math.floor(n / 2)));
    // Frame N lasts from 40 N + 20 (N odd) ms; 50 frames a second fall on 20 n ms.
    const begins = (n: number) => n * 40 + 20 * (n % 2);
    const shown = upTo(15).map((n) => upTo(40).findLast((frame) => begins(frame) <= 20 * n)!);
    expect(await countersOf('master: uneven.mkv\nduration: 0.3\nfps: 50')).toEqual(shown);
  });

  it.each([
    ['footage: {from: 1}', 1, 1],
    ['footage: {from: 0.4, speed: 2}', 0.4, 2],
    ["footage: {from: '00:00.600', to: 2, speed: 0.5}", 0.6, 0.5],
  ])('is trimmed and sped: %s', async (footage, from, speed) => {
    const fields = `master: even.mp4\nduration: 0.4\nfps: 25\n${footage}`;
    const shown = upTo(10).map((n) => Math.floor((from + (n / 25) * speed) * 25 + 1e-6));
    expect(await countersOf(fields)).toEqual(shown);
    expect(await countersOf(fields, { from: 0.2 })).toEqual(shown.slice(5));
  });

  it('keeps its last frame where that is asked for', async () => {
    const fields = 'master: even.mp4\nduration: 0.3\nfps: 25\nfootage:';
    const { length } = [70, 71, 72, 73, 74, 74, 74, 74];
    expect(await countersOf(`${fields} {from: 2.8, atEnd: hold}`)).toEqual([
      70, 71, 72, 73, 74, 74, 74, 74,
    ]);
    expect(await countersOf(`${fields} {from: 0.4, to: 0.48, atEnd: hold}`)).toEqual([
      10,
      ...Array(length - 1).fill(11),
    ]);
  });

  it('gives a still the frame of its time', async () => {
    const scene = await sceneOf('master: even.mp4\nduration: 2\nfps: 25\nfootage: {from: 0.5}');
    const deliveries = [{ output: scene.outputs[0]!, file: inFolder('still.png') }];
    await renderStills({ scene, deliveries, quality: 'final', overwrite: false, at: 1.4 });
    expect(await counterOf(inFolder('still.png'))).toBe(47);
  });

  it.each(['even.mp4', 'ten.mp4'])(
    'has the colours that its numbers stand for: %s',
    async (master) => {
      const scene = await sceneOf(`master: ${master}\nduration: 0.1\nfps: 10`);
      const file = inFolder(`colour-${count++}.png`);
      const deliveries = [{ output: scene.outputs[0]!, file }];
      await renderStills({ scene, deliveries, quality: 'final', overwrite: false, at: 0 });
      const { data } = await sharp(file).removeAlpha().raw().toBuffer({ resolveWithObject: true });
      for (const { x, codes } of COLOURS) {
        const column = Math.floor(((x + COLOUR_SIDE / 2) / WIDTH) * ACROSS);
        const row = Math.floor(((COLOUR_TOP + COLOUR_SIDE / 2) / HEIGHT) * DOWN);
        const found = [
          ...data.subarray((row * ACROSS + column) * 3, (row * ACROSS + column) * 3 + 3),
        ];
        const wanted = rgbOf(codes);
        const off = Math.max(...found.map((code, channel) => Math.abs(code - wanted[channel]!)));
        expect(off, `${found} for ${wanted}`).toBeLessThanOrEqual(2);
      }
    },
  );
});

/** ITU-R BT.709-6, items 3.2 and 4.6, read backwards. */
function rgbOf([y = 0, cb = 0, cr = 0]: readonly number[]): number[] {
  const luma = (y - 16) / 219;
  const red = luma + (1.5748 * (cr - 128)) / 224;
  const blue = luma + (1.8556 * (cb - 128)) / 224;
  const green = (luma - 0.2126 * red - 0.0722 * blue) / 0.7152;
  return [red, green, blue].map((value) => 255 * Math.min(1, Math.max(0, value)));
}

/** Seconds at which a clip's sound is first loud, as its decoded samples have it. */
function beepIn(file: string): number {
  const args = ['-v', 'error', '-i', file, '-ac', '1', '-ar', '48000', '-f', 'f32le', '-'];
  const bytes = execFileSync('ffmpeg', args, { maxBuffer: 2 ** 26 });
  const samples = new Float32Array(new Uint8Array(bytes).buffer);
  return samples.findIndex((sample) => Math.abs(sample) > 0.2) / 48000;
}

describe("a video master's sound", () => {
  it.each([
    ['', 'mp4', 1],
    ['footage: {from: 0.5}', 'mp4', 0.5],
    ['footage: {from: 0.7}', 'webm', 0.3],
    ['footage: {speed: 2}', 'mp4', 0.5],
    ['footage: {from: 0.6, speed: 0.5}', 'mov', 0.8],
  ])('is trimmed and sped as its frames: %s .%s', async (footage, ending, time) => {
    const scene = await sceneOf(`master: even.mp4\nduration: 1.3\nfps: 25\n${footage}`);
    const file = await renderTo(`sound-${count++}.${ending}`, scene);
    // Within a frame.
    expect(Math.abs(beepIn(file) - time)).toBeLessThan(1 / 25);
  });

  it('starts where the part that is rendered does', async () => {
    const scene = await sceneOf('master: even.mp4\nduration: 2\nfps: 25');
    const file = await renderTo('part.mp4', scene, { from: 0.8, to: 1.4 });
    expect(Math.abs(beepIn(file) - 0.2)).toBeLessThan(1 / 25);
    const probed = ['-v', 'error', '-show_entries', 'stream=duration', '-of', 'csv=p=0', file];
    for (const line of execFileSync('ffprobe', probed, { encoding: 'utf8' }).trim().split('\n')) {
      expect(Math.abs(Number(line) - 0.6)).toBeLessThan(1 / 25);
    }
  });

  it('is left out where none is wanted', async () => {
    const scene = await sceneOf('master: even.mp4\nduration: 0.2\nfps: 25\nsound: none');
    const file = await renderTo('silent.mp4', scene);
    const probed = ['-v', 'error', '-show_entries', 'stream=codec_type', '-of', 'csv=p=0', file];
    expect(execFileSync('ffprobe', probed, { encoding: 'utf8' }).trim()).toBe('video');
  });
});

describe('what a clip says of itself', () => {
  it('is its own, not what the master says', async () => {
    const master = inFolder('marked.mp4');
    writeFileSync(master, readFileSync(inFolder('even.mp4')));
    await markSphericalVideo(master, { source: 'A test', overwrite: true });
    expect((await readSpherical(master))[0]?.v2?.projection).toBe('equirectangular');
    const fields = 'master: marked.mp4\nduration: 0.08\nfps: 25';
    const flat = await renderTo('flat.mp4', await sceneOf(fields));
    const bytes = readFileSync(flat).toString('latin1');
    for (const box of ['sv3d', 'st3d', 'ffcc8263', 'Spherical', '\xff\xcc\x82\x63']) {
      expect(bytes.includes(box), box).toBe(false);
    }
    const file = inFolder('scene-sphere.yaml');
    writeFileSync(file, `${fields}\noutputs: [sphere]\nkeyframes: [{at: 0, yaw: 20}]\n`);
    const sphere = await renderTo('sphere.mp4', await loadScene(file));
    const [track] = await readSpherical(sphere);
    expect([track?.v1?.fields.Spherical, track?.v2?.projection]).toEqual([
      'true',
      'equirectangular',
    ]);
  });
});

describe('what does not fit a video', () => {
  it.each([
    [
      'duration: 4\nfootage: {from: 1}',
      "duration: is 4 s, for which the video has too little: 2 s of it from footage.from to its end; take 2 s, or slow the footage down with 'speed: 0.5', or keep the last frame with 'atEnd: hold'",
    ],
    [
      'duration: 2\nfootage: {speed: 2}',
      "duration: is 2 s, for which the video has too little: 3 s of it, which at speed 2 is 1.5 s; take 1.5 s, or slow the footage down with 'speed: 1.5', or keep the last frame with 'atEnd: hold'",
    ],
    [
      'duration: 1\nfootage: {from: 5}',
      'footage.from: takes a time within the video, found 5 s: the video lasts 3 s',
    ],
    [
      'duration: 1\nfootage: {to: 5}',
      'footage.to: takes a time within the video, found 5 s: the video lasts 3 s',
    ],
    [
      'duration: 1\nfootage: {from: 1, to: 1}',
      "footage.to: takes a time after 'from', 1 s, found 1 s",
    ],
  ])('is told in a sentence: %s', async (fields, message) => {
    const scene = await sceneOf(`master: even.mp4\n${fields}`);
    await expect(renderTo('never.mp4', scene)).rejects.toThrow(`${scene.file}: ${message}`);
  });

  it('is told of pictures', async () => {
    await sharp({ create: { width: 64, height: 32, channels: 3, background: 'red' } })
      .png()
      .toFile(inFolder('picture.png'));
    const scene = await sceneOf('master: picture.png\nduration: 1\nfootage: {speed: 2}');
    await expect(renderTo('never.mp4', scene)).rejects.toThrow(
      'footage: is for video masters, and this master is a picture: leave it out',
    );
  });
});

describe('time that is remapped', () => {
  it('is shown of the video too, there and back, without its sound', async () => {
    const notes: string[] = [];
    const scene = await sceneOf('master: even.mp4\nduration: 0.4\nfps: 25\ntiming: ping-pong');
    const file = inFolder('pingpong.mp4');
    await renderClips({
      ...{ scene, quality: 'final', overwrite: false, ffmpeg: await findFfmpeg() },
      deliveries: [{ output: scene.outputs[0]!, file }],
      onNote: (note) => notes.push(note),
    });
    expect(notes).toEqual([
      "The video's sound is left out where timing changes how its time runs.",
    ]);
    const probed = ['-v', 'error', '-show_entries', 'stream=codec_type', '-of', 'csv=p=0', file];
    expect(execFileSync('ffprobe', probed, { encoding: 'utf8' }).trim()).toBe('video');
    const shown = await countersOf(
      'master: even.mp4\nduration: 0.4\nfps: 25\ntiming: ping-pong\nfootage: {from: 0.4}',
    );
    expect(shown).toEqual([10, 11, 12, 13, 14, 15, 14, 13, 12, 11]);
  });
});
