import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { findFfmpeg } from '../../src/encode/ffmpeg.js';
import { renderClips, renderStills } from '../../src/render.js';
import { loadScene } from '../../src/scene/load.js';
import type { Sequence } from '../../src/scene/types.js';

/** A sky so smooth that 8 bits would show it in some twenty steps. */
const DARKEST = 12_000;
const BRIGHTEST = 17_000;
const SIDE = 256;

const SCENE = `
master: sky.png
duration: 0.2
fps: 10
outputs: [${SIDE}x${SIDE}]
keyframes:
  - {at: 0, fov: 100, pitch: 10}
`;

let folder: string;
let scene: Sequence;
const inFolder = (name: string) => path.join(folder, name);

beforeAll(async () => {
  folder = mkdtempSync(path.join(tmpdir(), 'orbreel-depth-'));
  const [width, height] = [1024, 512];
  const data = Uint16Array.from({ length: width * height * 3 }, (_, i) => {
    const row = Math.floor(i / 3 / width) + 0.5;
    return Math.round(BRIGHTEST + ((DARKEST - BRIGHTEST) * row) / height);
  });
  await sharp(data, { raw: { width, height, channels: 3 } })
    .toColourspace('rgb16')
    .png()
    .toFile(inFolder('sky.png'));
  writeFileSync(inFolder('scene.yaml'), SCENE);
  scene = await loadScene(inFolder('scene.yaml'));
});
afterAll(() => rmSync(folder, { recursive: true }));

const deliveries = (name: string) => [{ output: scene.outputs[0]!, file: inFolder(name) }];

/** How many different values the middle column of a frame's green or luma takes. */
const levelsOf = (samples: ArrayLike<number>, channels: number): number => {
  const values = new Set<number>();
  for (let y = 0; y < SIDE; y++)
    values.add(samples[(y * SIDE + SIDE / 2) * channels + (channels > 1 ? 1 : 0)]!);
  return values.size;
};

describe('a 16-bit master', () => {
  it.each(['sky16.tif', 'sky16.png'])('keeps its depth in the still %s', async (name) => {
    const job = { scene, quality: 'final', overwrite: false, at: 0, depth: 16 } as const;
    await renderStills({ ...job, deliveries: deliveries(name) });
    const { data, info } = await sharp(inFolder(name))
      .toColourspace('rgb16')
      .raw({ depth: 'ushort' })
      .toBuffer({ resolveWithObject: true });
    const words = new Uint16Array(data.buffer, data.byteOffset, data.length / 2);
    // Every row of the frame has a brightness of its own.
    expect(levelsOf(words, info.channels)).toBeGreaterThan(0.95 * SIDE);
  });

  it('shows no banding in 10-bit HEVC: more steps than 8 bits have there', async () => {
    const choice = { codec: 'hevc-10', crf: 8 } as const;
    const ffmpeg = await findFfmpeg();
    const job = { scene, quality: 'final', overwrite: false, ffmpeg, choice } as const;
    await renderClips({ ...job, deliveries: deliveries('sky.mp4') });
    const raw = execFileSync(
      ffmpeg.path,
      [
        '-v',
        'error',
        '-i',
        inFolder('sky.mp4'),
        '-frames:v',
        '1',
        '-f',
        'rawvideo',
        '-pix_fmt',
        'yuv420p10le',
        '-',
      ],
      { maxBuffer: 2 ** 24 },
    );
    const luma = new Uint16Array(
      raw.buffer.slice(raw.byteOffset, raw.byteOffset + SIDE * SIDE * 2),
    );
    const eightBits = ((BRIGHTEST - DARKEST) / 65535) * 219;
    expect(levelsOf(luma, 1)).toBeGreaterThan(1.8 * eightBits);
  });

  it('is dithered in 8 bits: rows mix two codes, so that their means keep the slope', async () => {
    const job = { scene, quality: 'final', overwrite: false, at: 0 } as const;
    await renderStills({ ...job, deliveries: deliveries('sky8.png') });
    const data = await sharp(inFolder('sky8.png')).removeAlpha().raw().toBuffer();
    const means = Array.from({ length: SIDE }, (_, y) => {
      let sum = 0;
      for (let x = SIDE / 4; x < (3 * SIDE) / 4; x++) sum += data[(y * SIDE + x) * 3 + 1]!;
      return sum / (SIDE / 2);
    });
    // Rounded without dithering, neighbouring rows would be equal, or differ by a whole code.
    const steps = means.slice(1).map((mean, y) => means[y]! - mean);
    expect(Math.max(...steps.map(Math.abs))).toBeLessThan(0.6);
    expect(new Set(means).size).toBeGreaterThan(SIDE / 4);
  });
});
