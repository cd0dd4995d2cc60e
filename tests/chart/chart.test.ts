import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { seriesOf } from '../../src/chart/series.js';
import { chartSvg } from '../../src/chart/svg.js';
import { chartOf, writeChart } from '../../src/chart.js';
import { loadScene } from '../../src/scene/load.js';
import type { Sequence } from '../../src/scene/types.js';

const SCENE = `
master: master.png
duration: 4
fps: 10
outputs: [64x32, 32x64]
keyframes:
  - { at: 0, yaw: 0, pitch: -90, fov: 250, projection: stereographic, ease: linear }
  - { at: 2, yaw: 40, pitch: -90, projection: rectilinear, fov: 80, ease: linear }
  - { at: 3, yaw: 200, pitch: -90, ease: linear }
`;

let folder: string;
let scene: Sequence;
const inFolder = (name: string) => path.join(folder, name);

beforeAll(async () => {
  folder = mkdtempSync(path.join(tmpdir(), 'orbreel-chart-'));
  await sharp({ create: { width: 64, height: 32, channels: 3, background: '#468' } })
    .png()
    .toFile(inFolder('master.png'));
  writeFileSync(inFolder('a <scene> & more.yaml'), SCENE);
  scene = await loadScene(inFolder('a <scene> & more.yaml'));
});
afterAll(() => rmSync(folder, { recursive: true }));

describe('what a chart shows', () => {
  it('is what the camera does at each frame', () => {
    const [start, later, turning, end] = seriesOf(scene, scene.outputs[0]!, [0, 10, 25, 39]);
    expect(start).toMatchObject({
      at: 0,
      yaw: 0,
      pitch: -90,
      roll: 0,
      projection: 'stereographic',
    });
    expect(start!.fov).toBeCloseTo(250, 6);
    expect(start!.turning).toBeCloseTo(20, 6);
    expect(later).toMatchObject({ at: 1, yaw: 20, projection: 'stereographic to rectilinear' });
    expect(turning!.turning).toBeCloseTo(160, 6);
    expect(end).toMatchObject({ yaw: 200, projection: 'rectilinear', turning: 0, zooming: 0 });
    expect(end!.fov).toBeCloseTo(80, 6);
  });

  it('is the field of view across the shorter side, in either shape', () => {
    for (const output of scene.outputs) {
      expect(seriesOf(scene, output, [0])[0]!.fov).toBeCloseTo(250, 6);
    }
  });

  it('has a warning where the view turns faster than our limit', () => {
    const { warnings, keyframes } = chartOf(scene, scene.outputs[0]!);
    expect(warnings.map(({ from, to }) => [from, to])).toContainEqual([2, 3]);
    expect(warnings.find(({ from }) => from === 2)?.message).toMatch(
      /^keyframes\[1\] turns at up to 160 degrees a second \(at [\d.]+ s\), above our limit of 60: give it 2\.7 s instead of 1 s/u,
    );
    expect(keyframes.map(({ at }) => at)).toEqual([0, 2, 3]);
  });
});

describe('the chart', () => {
  it('is well-formed, whatever the scene is called', async () => {
    const svg = chartSvg(chartOf(scene, scene.outputs[0]!));
    expect(svg).toContain('a &lt;scene&gt; &amp; more');
    // librsvg's parser is none of ours, and refuses what is no XML.
    expect(await sharp(Buffer.from(svg)).metadata()).toMatchObject({ format: 'svg' });
    await expect(sharp(Buffer.from(svg.replace('</svg>', ''))).metadata()).rejects.toThrow();
    expect(svg).not.toMatch(/NaN|undefined|Infinity/u);
  });

  it('is written as SVG and as a picture of twice its size, and replaces nothing unasked', async () => {
    const [output] = scene.outputs as [Sequence['outputs'][number]];
    await writeChart({ scene, output, file: inFolder('chart.svg'), overwrite: false });
    await writeChart({ scene, output, file: inFolder('chart.png'), overwrite: false });
    const [, width] = /width="(\d+)"/u.exec(readFileSync(inFolder('chart.svg'), 'utf8'))!;
    const facts = await sharp(inFolder('chart.png')).metadata();
    expect(facts.width).toBe(2 * Number(width));
    for (const file of ['chart.svg', 'chart.png']) {
      const before = readFileSync(inFolder(file));
      await expect(
        writeChart({ scene, output, file: inFolder(file), overwrite: false }),
      ).rejects.toThrow(/already exists/u);
      expect(readFileSync(inFolder(file)).equals(before)).toBe(true);
    }
    await expect(
      writeChart({ scene, output, file: inFolder('chart.pdf'), overwrite: false }),
    ).rejects.toThrow(/a still's name ends in one of/u);
    expect(existsSync(inFolder('chart.pdf'))).toBe(false);
  });
});
