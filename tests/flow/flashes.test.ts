import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Flashing } from '../../src/comfort/flashes.js';
import { findFfmpeg } from '../../src/encode/ffmpeg.js';
import { measureFlashes } from '../../src/flashes.js';
import { renderClips } from '../../src/render.js';
import { loadScene } from '../../src/scene/load.js';

/** Cuts to and fro between the master's white half and its black one, `times` of them in a second. */
const cuts = (times: number) => `
master: halves.png
duration: 2
fps: 20
outputs: [128x96]
keyframes:
${Array.from({ length: 2 * times }, (_, n) => `  - { at: ${n / times}, yaw: ${n % 2 === 0 ? -90 : 90}, ease: hold }`).join('\n')}
`;

describe('flashes of a clip', () => {
  const folder = mkdtempSync(path.join(tmpdir(), 'orbreel-flashes-'));
  const inFolder = (name: string) => path.join(folder, name);
  beforeAll(async () => {
    const white = await sharp({
      create: { width: 64, height: 64, channels: 3, background: '#fff' },
    })
      .png()
      .toBuffer();
    await sharp({ create: { width: 128, height: 64, channels: 3, background: '#000' } })
      .composite([{ input: white, left: 0, top: 0 }])
      .png()
      .toFile(inFolder('halves.png'));
    writeFileSync(inFolder('quick.yaml'), cuts(10));
    writeFileSync(inFolder('slow.yaml'), cuts(5));
  });
  afterAll(() => rmSync(folder, { recursive: true }));

  it('are measured on a small draft', async () => {
    const quick = await loadScene(inFolder('quick.yaml'));
    const [found, ...more] = await measureFlashes({ scene: quick, output: quick.outputs[0]! });
    expect(more).toEqual([]);
    // Five flashes a second, ten cuts; the eighth comes at 0.8 s.
    expect(found).toMatchObject({ from: 0, to: 2, flashes: 5 });
    // Five cuts a second are two flashes and a half.
    const slow = await loadScene(inFolder('slow.yaml'));
    expect(await measureFlashes({ scene: slow, output: slow.outputs[0]! })).toEqual([]);
  });

  it.each([
    ['h264', 'clip.mp4'],
    ['gif', 'clip.gif'],
  ])('are told when a clip is done, in whatever layout it is encoded (%s)', async (_, name) => {
    const told: [string, Flashing][] = [];
    const scene = await loadScene(inFolder('quick.yaml'));
    await renderClips({
      scene,
      deliveries: [{ output: scene.outputs[0]!, file: inFolder(name) }],
      quality: 'draft',
      overwrite: false,
      ffmpeg: await findFfmpeg(),
      onFlashing: ({ file }, flashing) => told.push([path.basename(file), flashing]),
    });
    expect(told).toHaveLength(1);
    expect(told[0]).toMatchObject([name, { from: 0, to: 2, flashes: 5 }]);
  });
});
