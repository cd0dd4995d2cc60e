import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { findFfmpeg } from '../../src/encode/ffmpeg.js';
import { renderClips, renderStills } from '../../src/render.js';
import { loadScene } from '../../src/scene/load.js';
import type { Sequence } from '../../src/scene/types.js';
import { photo } from '../support/photos.js';
import { psnr } from '../support/reference.js';

const WIDTH = 180;
const HEIGHT = 320;
const FRAMES = 12;

const SCENE = `
master: park.png
duration: 1.2
fps: 10
outputs: [${WIDTH}x${HEIGHT}, 128x128]
keyframes:
  - {at: 0, pitch: -90, fov: 250, projection: stereographic}
  - {at: 0.6, yaw: 20, fov: 200, projection: mirror-ball}
  - {at: 1.2, pitch: 0, fov: 90, projection: rectilinear}
`;

let folder: string;
let scene: Sequence;
const inFolder = (name: string) => path.join(folder, name);

beforeAll(async () => {
  folder = mkdtempSync(path.join(tmpdir(), 'orbreel-flow-'));
  const { width, height, data } = await photo('park');
  await sharp(data, { raw: { width, height, channels: 3 } })
    .png()
    .toFile(inFolder('park.png'));
  writeFileSync(inFolder('scene.yaml'), SCENE);
  scene = await loadScene(inFolder('scene.yaml'));
});
afterAll(() => rmSync(folder, { recursive: true }));

const clip = async (names: readonly string[], part: { from?: number; to?: number } = {}) =>
  renderClips({
    scene,
    deliveries: names.map((name, index) => ({
      output: scene.outputs[index]!,
      file: inFolder(name),
    })),
    quality: 'final',
    overwrite: false,
    ffmpeg: await findFfmpeg(),
    ...part,
  });

const rgbaOf = async (name: string): Promise<Uint8Array> =>
  sharp(inFolder(name)).ensureAlpha().raw().toBuffer();

describe('the whole flow', () => {
  it('renders a clip whose frames are the stills of their instants', async () => {
    await clip(['clip.mp4', 'square.mp4']);
    await clip(['frames/']);
    const decoded = decode('clip.mp4');
    expect(decoded.length).toBe(FRAMES);
    for (const frame of [0, 3, 5, 7, 11]) {
      const name = `still-${frame}.png`;
      // Any instant of a frame's time shows that frame.
      await still(name, frame / 10 + 0.04);
      const pixels = await rgbaOf(name);
      const sequence = await rgbaOf(`frames/frame-${String(frame).padStart(5, '0')}.png`);
      expect(Buffer.compare(sequence, pixels)).toBe(0);
      expect(psnr(decoded[frame]!, pixels), `frame ${frame}`).toBeGreaterThan(35);
    }
    expect(decode('square.mp4', 128, 128).length).toBe(FRAMES);
  });

  it('renders a part of the scene', async () => {
    await clip(['part/'], { from: 0.3, to: 0.6 });
    expect(readdirSync(inFolder('part')).length).toBe(3);
    const first = await rgbaOf('part/frame-00000.png');
    await still('third.png', 0.3);
    expect(Buffer.compare(first, await rgbaOf('third.png'))).toBe(0);
  });

  it('tells everything wrong with the names of its files before it draws', async () => {
    await expect(clip(['clip.mp4', 'square.xyz'])).rejects.toThrow(
      /clip\.mp4: already exists.*\n.*square\.xyz: a clip's name ends in one of/,
    );
  });

  it('leaves nothing behind when it is stopped', async () => {
    const before = readdirSync(folder).sort();
    const stop = new AbortController();
    const job = renderClips({
      scene,
      deliveries: [{ output: scene.outputs[0]!, file: inFolder('stopped.mp4') }],
      quality: 'draft',
      overwrite: false,
      ffmpeg: await findFfmpeg(),
      signal: stop.signal,
      onProgress: ({ done }) => done === 3 && stop.abort(),
    });
    await expect(job).rejects.toThrow('Interrupted');
    expect(readdirSync(folder).sort()).toEqual(before);
  });
});

async function still(name: string, at: number): Promise<void> {
  const [output] = scene.outputs;
  const deliveries = [{ output: output!, file: inFolder(name) }];
  await renderStills({ scene, deliveries, at, quality: 'final', overwrite: false });
}

/** A clip's frames as RGBA, converted by BT.709. */
function decode(name: string, width = WIDTH, height = HEIGHT): Uint8Array[] {
  const filter =
    'scale=in_color_matrix=bt709:in_range=tv:flags=accurate_rnd+full_chroma_int+bicubic';
  const raw = execFileSync(
    process.env.FFMPEG_BIN ?? 'ffmpeg',
    ['-v', 'error', '-i', inFolder(name), '-vf', `${filter},format=rgba`, '-f', 'rawvideo', '-'],
    { maxBuffer: 2 ** 28 },
  );
  const size = width * height * 4;
  return Array.from({ length: raw.length / size }, (_, i) =>
    raw.subarray(i * size, (i + 1) * size),
  );
}
