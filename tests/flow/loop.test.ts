import { mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { findFfmpeg } from '../../src/encode/ffmpeg.js';
import { renderClips } from '../../src/render.js';
import { loadScene } from '../../src/scene/load.js';
import { photo } from '../support/photos.js';

const FRAMES = 24;

let folder: string;

beforeAll(async () => {
  folder = mkdtempSync(path.join(tmpdir(), 'orbreel-loop-'));
  const { width, height, data } = await photo('park');
  await sharp(data, { raw: { width, height, channels: 3 } })
    .png()
    .toFile(path.join(folder, 'park.png'));
});
afterAll(() => rmSync(folder, { recursive: true }));

/** The clip's frames as RGBA. */
async function framesOf(name: string, more: string): Promise<Uint8Array[]> {
  const file = path.join(folder, `${name}.yaml`);
  const text = `master: park.png\nduration: 2.4\nfps: 10\noutputs: [160x90]\n${more}`;
  writeFileSync(file, text);
  const scene = await loadScene(file);
  const frames = path.join(folder, `${name}/`);
  await renderClips({
    scene,
    deliveries: [{ output: scene.outputs[0]!, file: frames }],
    quality: 'draft',
    overwrite: false,
    ffmpeg: await findFfmpeg(),
  });
  const names = readdirSync(frames).sort();
  return Promise.all(
    names.map(async (name) => sharp(path.join(frames, name)).ensureAlpha().raw().toBuffer()),
  );
}

/** Root of the mean squared difference. */
function difference(a: Uint8Array, b: Uint8Array): number {
  let sum = 0;
  for (const [index, value] of a.entries()) sum += (value - b[index]!) ** 2;
  return Math.sqrt(sum / a.length);
}

const PATHS = {
  'a turn of the planet': `
loop: true
keyframes:
  - { at: 0, yaw: -180, pitch: -90, fov: 250, projection: stereographic, ease: linear }
  - { at: 100%, yaw: 180 }
`,
  'a smooth tour': `
loop: true
path: smooth
shutter: 180
keyframes:
  - { at: 0, yaw: 0, pitch: 0, fov: 70, turn: shortest }
  - { at: 0.8, yaw: 120, pitch: 20, fov: 90, turn: shortest }
  - { at: 1.6, yaw: 240, pitch: -20, fov: 60, turn: shortest }
`,
  'smoothly there and back': `
loop: true
timing: [{ at: 0, shows: 0, ease: ease-in-out }, { at: 50%, shows: 100%, ease: ease-in-out }, { at: 100%, shows: 0 }]
keyframes:
  - { at: 0, yaw: 0, ease: linear }
  - { at: 100%, yaw: 60 }
`,
};

describe('a looped clip', () => {
  it.each(Object.entries(PATHS))(
    'flows from its last frame to its first: %s',
    async (name, more) => {
      const frames = await framesOf(name, more);
      expect(frames).toHaveLength(FRAMES);
      const steps = frames.map((frame, n) => difference(frame, frames[(n + 1) % FRAMES]!));
      const closing = steps.at(-1)!;
      const around = [steps.at(-3)!, steps.at(-2)!, steps[0]!, steps[1]!];
      expect(closing).toBeLessThanOrEqual(1.1 * Math.max(...around));
      // The first frame does not come twice.
      expect(closing).toBeGreaterThan(0);
    },
  );
});

describe('a clip there and back', () => {
  it('shows the same frames backwards, the farthest one once', async () => {
    const frames = await framesOf(
      'ping-pong',
      'timing: ping-pong\nkeyframes: [{ at: 0, yaw: 0, ease: linear }, { at: 100%, yaw: 60 }]\n',
    );
    for (let n = 1; n < FRAMES / 2; n++) {
      expect(Buffer.compare(frames[n]!, frames[FRAMES - n]!)).toBe(0);
      expect(difference(frames[n]!, frames[n - 1]!)).toBeGreaterThan(1);
    }
  });

  it('shows a held time unchanged', async () => {
    const frames = await framesOf(
      'hold',
      `shutter: 180
timing: [{ at: 0, shows: 0 }, { at: 1, shows: 1 }, { at: 2, shows: 1 }, { at: 2.4, shows: 1.4 }]
keyframes: [{ at: 0, yaw: 0, ease: linear }, { at: 100%, yaw: 60 }]
`,
    );
    for (let n = 11; n < 19; n++) expect(Buffer.compare(frames[n]!, frames[n + 1]!)).toBe(0);
    expect(difference(frames[9]!, frames[10]!)).toBeGreaterThan(1);
    expect(difference(frames[20]!, frames[21]!)).toBeGreaterThan(1);
  });
});
