import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { findFfmpeg } from '../../src/encode/ffmpeg.js';
import { renderClips, renderStills } from '../../src/render.js';
import { loadScene } from '../../src/scene/load.js';
import type { Sequence } from '../../src/scene/types.js';

const [WIDTH, HEIGHT, FPS] = [160, 120, 10];

const SCENE = `
master: master.png
duration: 2
fps: ${FPS}
outputs: [${WIDTH}x${HEIGHT}]
overlays:
  - { image: mark.png, place: bottom-right, size: 25%, margin: 10%, from: 1, fade: 0.5 }
keyframes:
  - { at: 0 }
`;

describe('overlays of a clip', () => {
  const folder = mkdtempSync(path.join(tmpdir(), 'orbreel-titled-'));
  const inFolder = (name: string) => path.join(folder, name);
  let scene: Sequence;
  beforeAll(async () => {
    const plain = (width: number, height: number, background: string) =>
      sharp({ create: { width, height, channels: 3, background } }).png();
    await plain(128, 64, '#204060').toFile(inFolder('master.png'));
    await plain(30, 30, '#ffffff').toFile(inFolder('mark.png'));
    writeFileSync(inFolder('scene.yaml'), SCENE);
    scene = await loadScene(inFolder('scene.yaml'));
    const clip = { output: scene.outputs[0]!, file: `${inFolder('frames')}/` };
    const ffmpeg = await findFfmpeg();
    await renderClips({ scene, deliveries: [clip], quality: 'draft', overwrite: false, ffmpeg });
  });
  afterAll(() => rmSync(folder, { recursive: true }));

  const pixel = async (file: string, x: number, y: number) => {
    const { data, info } = await sharp(file)
      .removeAlpha()
      .raw()
      .toBuffer({ resolveWithObject: true });
    return [...data.subarray(3 * (y * info.width + x)).subarray(0, 3)];
  };
  const frame = (seconds: number) =>
    inFolder(`frames/frame-${String(Math.round(seconds * FPS)).padStart(5, '0')}.png`);
  // A quarter and a tenth of the shorter side: 30 pixels wide, 12 from the edges.
  const [RIGHT, BOTTOM] = [WIDTH - 13, HEIGHT - 13];

  it('lie where they should', async () => {
    const file = frame(1.9);
    expect(await pixel(file, RIGHT, BOTTOM)).toEqual([255, 255, 255]);
    expect(await pixel(file, RIGHT - 29, BOTTOM - 29)).toEqual([255, 255, 255]);
    const ground = await pixel(file, 10, 10);
    expect(ground[0]).toBeLessThan(40);
    expect(await pixel(file, RIGHT + 1, BOTTOM)).toEqual(ground);
    expect(await pixel(file, RIGHT - 30, BOTTOM)).toEqual(ground);
  });

  it('come over their fade: nothing before, two fifths after 0.2 of 0.5 seconds', async () => {
    const ground = await pixel(frame(0.9), RIGHT, BOTTOM);
    expect(ground).toEqual(await pixel(frame(0.9), 10, 10));
    const [red] = await pixel(frame(1.2), RIGHT, BOTTOM);
    expect(red).toBeCloseTo(ground[0]! + 0.4 * (255 - ground[0]!), -0.5);
    expect(await pixel(frame(1.5), RIGHT, BOTTOM)).toEqual([255, 255, 255]);
  });

  it('are on stills as on the clip', async () => {
    const file = inFolder('still.png');
    const still = { output: scene.outputs[0]!, file };
    await renderStills({ scene, deliveries: [still], at: 1.2, quality: 'draft', overwrite: false });
    const pixels = async (name: string) => sharp(name).removeAlpha().raw().toBuffer();
    expect((await pixels(file)).equals(await pixels(frame(1.2)))).toBe(true);
  });
});
