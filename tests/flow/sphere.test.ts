import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { CodecName } from '../../src/encode/codecs.js';
import { findFfmpeg } from '../../src/encode/ffmpeg.js';
import { readProjections } from '../../src/encode/spherical/matroska.js';
import { readSpherical } from '../../src/encode/spherical.js';
import { renderClips } from '../../src/render.js';
import { loadScene } from '../../src/scene/load.js';
import type { Sequence, SequenceOutput } from '../../src/scene/types.js';

const WIDTH = 512;
const HEIGHT = 256;

/**
 * 100 % bars, white to black, as R'G'B' and as 8-bit limited-range Y'CbCr: ITU-R BT.709-6,
 * Y = 219 Y' + 16, C = 224 C' + 128.
 */
const BARS = [
  { rgb: [255, 255, 255], ycc: [235, 128, 128] },
  { rgb: [255, 255, 0], ycc: [219, 16, 138] },
  { rgb: [0, 255, 255], ycc: [188, 154, 16] },
  { rgb: [0, 255, 0], ycc: [173, 42, 26] },
  { rgb: [255, 0, 255], ycc: [78, 214, 230] },
  { rgb: [255, 0, 0], ycc: [63, 102, 240] },
  { rgb: [0, 0, 255], ycc: [32, 240, 118] },
  { rgb: [0, 0, 0], ycc: [16, 128, 128] },
] as const;

const SCENE = `
master: bars.png
duration: 0.2
fps: 10
outputs: [sphere, ${WIDTH}x${HEIGHT}]
keyframes:
  - {at: 0, projection: equirectangular, fov: 360, fovSide: horizontal}
`;

let folder: string;
let scene: Sequence;
const inFolder = (name: string) => path.join(folder, name);

beforeAll(async () => {
  folder = mkdtempSync(path.join(tmpdir(), 'orbreel-sphere-'));
  const data = Uint8Array.from({ length: WIDTH * HEIGHT * 3 }, (_, i) => {
    const column = Math.floor(i / 3) % WIDTH;
    return BARS[Math.floor((column * BARS.length) / WIDTH)]!.rgb[i % 3]!;
  });
  const raw = { width: WIDTH, height: HEIGHT, channels: 3 } as const;
  await sharp(data, { raw }).png().toFile(inFolder('bars.png'));
  writeFileSync(inFolder('scene.yaml'), SCENE);
  scene = await loadScene(inFolder('scene.yaml'));
});
afterAll(() => rmSync(folder, { recursive: true }));

const clip = async (output: SequenceOutput, name: string, codec?: CodecName, of = scene) =>
  renderClips({
    scene: of,
    deliveries: [{ output, file: inFolder(name) }],
    quality: 'final',
    overwrite: false,
    ffmpeg: await findFfmpeg(),
    choice: { crf: 4, ...(codec && { codec }) },
  });

describe('the whole pipeline', () => {
  it("turns colour bars into the Y'CbCr of the BT.709 table, to one code", async () => {
    await clip(scene.outputs[1]!, 'bars.mp4');
    const raw = decode('bars.mp4');
    const planes = [
      { start: 0, width: WIDTH },
      { start: WIDTH * HEIGHT, width: WIDTH / 2 },
      { start: WIDTH * HEIGHT * 1.25, width: WIDTH / 2 },
    ];
    for (const [index, { ycc }] of BARS.entries()) {
      for (const [plane, { start, width }] of planes.entries()) {
        // A row in the middle, at the middle of the bar.
        const row = (width / WIDTH) * (HEIGHT / 2);
        const column = ((index + 0.5) * width) / BARS.length;
        const value = raw[start + row * width + column]!;
        expect(Math.abs(value - ycc[plane]!), `bar ${index}, plane ${plane}`).toBeLessThanOrEqual(
          1,
        );
      }
    }
  });
});

describe('spherical metadata', () => {
  it('is in the clip of a whole sphere, by both versions of the open specification', async () => {
    const sphere = { ...scene.outputs[0]!, width: WIDTH, height: HEIGHT };
    await clip(sphere, 'sphere.mp4');
    const [track] = await readSpherical(inFolder('sphere.mp4'));
    expect(track).toMatchObject({ width: WIDTH, height: HEIGHT });
    expect(track?.v1).toBeDefined();
    expect(track?.v2).toBeDefined();
    // An independent reader.
    const found = probe('sphere.mp4');
    expect(found).toContain('Spherical Mapping');
    expect(found).toContain('equirectangular');
    expect(decode('sphere.mp4').length).toBe(WIDTH * HEIGHT * 1.5 * 2);
  });

  it.each(['vp9', 'av1'] as const)('is in that of WebM too, from %s', async (codec) => {
    const sphere = { ...scene.outputs[0]!, width: WIDTH, height: HEIGHT };
    await clip(sphere, `${codec}.webm`, codec);
    const [track] = await readProjections(inFolder(`${codec}.webm`));
    expect(track?.v2).toMatchObject({ projection: 'equirectangular', yaw: 0, stereo: 'mono' });
    const told = probe(`${codec}.webm`);
    expect(told).toContain('Spherical Mapping');
    expect(told).toContain('"equirectangular"');
    expect(decode(`${codec}.webm`).length).toBe(WIDTH * HEIGHT * 1.5 * 2);
  });

  it('is not taken over from a spherical video into a flat clip', async () => {
    const sphere = { ...scene.outputs[0]!, width: WIDTH, height: HEIGHT };
    await clip(sphere, 'source.webm');
    expect(probe('source.webm')).toContain('Spherical Mapping');
    writeFileSync(inFolder('again.yaml'), SCENE.replace('bars.png', 'source.webm'));
    const again = await loadScene(inFolder('again.yaml'));
    await clip(again.outputs[1]!, 'again.webm', 'vp9', again);
    await clip(again.outputs[1]!, 'again.mp4', 'h264', again);
    for (const name of ['again.webm', 'again.mp4']) expect(probe(name)).not.toContain('Spherical');
  });

  it('is in no flat clip', async () => {
    await clip(scene.outputs[1]!, 'flat.mov');
    const [track] = await readSpherical(inFolder('flat.mov'));
    expect([track?.v1, track?.v2]).toEqual([undefined, undefined]);
    expect(readdirSync(folder).filter((name) => name.startsWith('.'))).toEqual([]);
  });
});

const probe = (name: string): string =>
  execFileSync(
    'ffprobe',
    ['-v', 'error', '-show_entries', 'stream_side_data', '-of', 'json', inFolder(name)],
    { encoding: 'utf8' },
  );

/** Frames as they are coded: planes of Y', Cb, Cr. */
function decode(name: string): Buffer {
  return execFileSync(
    process.env.FFMPEG_BIN ?? 'ffmpeg',
    ['-v', 'error', '-i', inFolder(name), '-f', 'rawvideo', '-pix_fmt', 'yuv420p', '-'],
    { maxBuffer: 2 ** 26 },
  );
}
