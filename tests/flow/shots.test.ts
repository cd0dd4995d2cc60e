import { mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { findFfmpeg } from '../../src/encode/ffmpeg.js';
import { type MasterRead, Masters } from '../../src/flow/masters.js';
import { stretchesOf } from '../../src/flow/stretches.js';
import type { MasterTexture } from '../../src/render/masterTexture.js';
import { type ClipJob, renderClips, renderStills } from '../../src/render.js';
import { loadScene } from '../../src/scene/load.js';
import { photo } from '../support/photos.js';

const SIDE = 32;

let folder: string;
const inFolder = (name: string) => path.join(folder, name);

beforeAll(async () => {
  folder = mkdtempSync(path.join(tmpdir(), 'orbreel-shots-'));
  for (const background of ['black', 'white', 'red'] as const) {
    await sharp({ create: { width: 64, height: 32, channels: 3, background } })
      .png()
      .toFile(inFolder(`${background}.png`));
  }
  const { width, height, data } = await photo('park');
  const raw = { width, height, channels: 3 } as const;
  await sharp(data, { raw }).png().toFile(inFolder('park.png'));
  await sharp(data, { raw }).flop().negate().png().toFile(inFolder('negative.png'));
});
afterAll(() => rmSync(folder, { recursive: true }));

const FLAT = 'keyframes: [{at: 0, fov: 80}]';

async function load(name: string, shots: string, top = '') {
  const head = `fps: 10\noutputs: [${SIDE}x${SIDE}]\n${top}\nshots:\n`;
  writeFileSync(inFolder(name), head + shots);
  return loadScene(inFolder(name));
}

type Scene = Awaited<ReturnType<typeof load>>;

/** Renders into a folder of pictures and yields the masters read. */
async function render(scene: Scene, name: string, more: Partial<ClipJob> = {}): Promise<string[]> {
  const read: string[] = [];
  await renderClips({
    ...{ scene, quality: 'final', overwrite: false, ffmpeg: await findFfmpeg() },
    deliveries: scene.outputs.map((output, index) => ({
      output,
      file: inFolder(`${name}${index === 0 ? '' : index}/`),
    })),
    onMaster: (file) => read.push(path.basename(file)),
    ...more,
  });
  return read;
}

const pixels = async (name: string): Promise<Uint8Array> =>
  sharp(inFolder(name)).removeAlpha().raw().toBuffer();

const frame = (name: string, n: number) =>
  pixels(`${name}/frame-${String(n).padStart(5, '0')}.png`);

async function still(scene: Scene, at: number, name: string, more = {}): Promise<string[]> {
  const read: string[] = [];
  await renderStills({
    ...{ scene, at, quality: 'final', overwrite: false },
    deliveries: [{ output: scene.outputs[0]!, file: inFolder(name) }],
    onMaster: (file) => read.push(path.basename(file)),
    ...more,
  });
  return read;
}

describe('a clip of several shots', () => {
  it('cuts on the very frame, dissolves in linear light, and has the frames of its total', async () => {
    const scene = await load(
      'flat.yaml',
      `  - {master: black.png, duration: 0.5, ${FLAT}}
  - {master: white.png, duration: 1, ${FLAT}}
  - {master: black.png, duration: 0.9, transition: {dissolve: 0.4}, ${FLAT}}
`,
    );
    // 0.5 + 1 - 0.4 + 0.9
    expect(scene.duration).toBeCloseTo(2, 12);
    expect(await render(scene, 'flat')).toEqual(['black.png', 'white.png']);
    expect(readdirSync(inFolder('flat')).length).toBe(20);
    const values = await Promise.all(
      Array.from({ length: 20 }, async (_, n) => [...new Set(await frame('flat', n))]),
    );
    const plain = (value: number, count: number) => Array.from({ length: count }, () => [value]);
    expect(values.slice(0, 11 + 1)).toEqual([...plain(0, 5), ...plain(255, 7)]);
    expect(values.slice(15)).toEqual(plain(0, 5));
    // IEC 61966-2-1: encode(0.75), encode(0.5) (FACTS: black and white average to 188), encode(0.25).
    const encoded = [0.75, 0.5, 0.25].map((light) => 255 * (1.055 * light ** (1 / 2.4) - 0.055));
    expect(Math.round(encoded[1]!)).toBe(188);
    for (const [index, light] of encoded.entries()) {
      const all = await frame('flat', 12 + index);
      // The renderer's curve keeps within 0.43 of a code, for white going in and again for the mean
      // coming out (light.glsl); then it is dithered between two codes.
      const mean = all.reduce((sum, value) => sum + value, 0) / all.length;
      expect(Math.abs(mean - light)).toBeLessThan(0.86);
      for (const value of all) expect(Math.abs(value - light)).toBeLessThan(1.86);
    }
  });

  it('keeps to the very shots at both ends of a dissolve, also where their sharpening differs', async () => {
    const scene = await load(
      'ends.yaml',
      `  - {master: park.png, sharpen: 0.5, duration: 1, keyframes: [{at: 0, fov: 80}, {at: 1, yaw: 30}]}
  - {master: negative.png, duration: 1, transition: {dissolve: 0.5}, keyframes: [{at: 0, yaw: 20, fov: 60}, {at: 1, yaw: 0}]}
`,
    );
    await render(scene, 'ends');
    const alone = async (shots: string) => {
      const one = await load('alone.yaml', shots);
      rmSync(inFolder('alone'), { recursive: true, force: true });
      await render(one, 'alone');
      return (n: number) => frame('alone', n);
    };
    const first = await alone(
      '  - {master: park.png, sharpen: 0.5, duration: 1, keyframes: [{at: 0, fov: 80}, {at: 1, yaw: 30}]}\n',
    );
    // The dissolve begins at 0.5 s and ends at 1 s.
    for (const n of [0, 4, 5]) expect(await frame('ends', n)).toEqual(await first(n));
    expect(await frame('ends', 6)).not.toEqual(await first(6));
    const second = await alone(
      '  - {master: negative.png, duration: 1, keyframes: [{at: 0, yaw: 20, fov: 60}, {at: 1, yaw: 0}]}\n',
    );
    for (const n of [10, 14]) expect(await frame('ends', n)).toEqual(await second(n - 5));
  });

  it.each(['{dissolve: 0.6}', '{planet: 0.6}'])(
    'shows in %s the stills of its instants, also blurred, in drafts and in parts',
    async (transition) => {
      const name = transition.replace(/\W/gu, '');
      const scene = await load(
        `${name}.yaml`,
        `  - {master: park.png, duration: 1, keyframes: [{at: 0, fov: 80}, {at: 1, yaw: 40}]}
  - {master: negative.png, duration: 1, transition: ${transition}, keyframes: [{at: 0, fov: 60}, {at: 1, yaw: 40}]}
`,
        'shutter: 180',
      );
      for (const quality of ['final', 'draft'] as const) {
        await render(scene, `${name}-${quality}`, { quality });
        await render(scene, `${name}-${quality}-part`, { quality, from: 0.6, to: 0.9 });
        for (const n of [6, 7, 8]) {
          const file = `${name}-${quality}-${n}.png`;
          await still(scene, n / 10, file, { quality });
          const clip = await frame(`${name}-${quality}`, n);
          expect(await pixels(file)).toEqual(clip);
          expect(await frame(`${name}-${quality}-part`, n - 6)).toEqual(clip);
        }
      }
    },
  );

  it('reads for a still, or a part, only the masters that it shows', async () => {
    const scene = await load(
      'three.yaml',
      `  - {master: black.png, duration: 1, ${FLAT}}
  - {master: white.png, duration: 1, ${FLAT}}
  - {master: red.png, duration: 1, transition: {dissolve: 0.5}, ${FLAT}}
`,
    );
    expect(await still(scene, 0.5, 'one.png')).toEqual(['black.png']);
    expect(await still(scene, 1.7, 'two.png')).toEqual(['white.png', 'red.png']);
    expect(await render(scene, 'part', { from: 1, to: 1.4 })).toEqual(['white.png']);
    expect(readdirSync(inFolder('part')).length).toBe(4);
  });

  it('reads each master once for all its outputs', async () => {
    const scene = await load(
      'outputs.yaml',
      `  - {master: black.png, duration: 0.3, ${FLAT}}
  - {master: white.png, duration: 0.3, transition: {dissolve: 0.1}, ${FLAT}}
  - {master: black.png, duration: 0.3, ${FLAT}}
`,
      '# both',
    );
    const both = {
      ...scene,
      outputs: [scene.outputs[0]!, { ...scene.outputs[0]!, width: 16, height: 16 }],
    };
    expect(await render(both, 'both', { quality: 'draft' })).toEqual(['black.png', 'white.png']);
    expect(readdirSync(inFolder('both1')).length).toBe(8);
  });

  it('leaves nothing behind when it is stopped in the second shot', async () => {
    const before = readdirSync(folder).sort();
    const scene = await loadScene(inFolder('three.yaml'));
    const stop = new AbortController();
    const job = render(scene, 'stopped', {
      signal: stop.signal,
      deliveries: [{ output: scene.outputs[0]!, file: inFolder('stopped.mp4') }],
      onProgress: ({ done }) => done === 12 && stop.abort(),
    });
    await expect(job).rejects.toThrow('Interrupted');
    expect(readdirSync(folder).sort()).toEqual(before);
  });
});

describe('the masters on the GPU', () => {
  /** Stands in for textures, and counts them. */
  function counted() {
    const live = new Set<string>();
    const read: string[] = [];
    let most = 0;
    const masters = new Masters();
    const load = async ({ file }: MasterRead) => {
      live.add(file);
      read.push(file);
      most = Math.max(most, live.size);
      return { destroy: () => live.delete(file) } as unknown as MasterTexture;
    };
    return { masters, load, live, read, most: () => most };
  }
  const reads = (names: string): MasterRead[] =>
    [...names].map((file) => ({ file, stamp: '', options: {} }));

  it.each([
    // One after the other, through dissolves: never more than two, each once.
    [['a', 'ab', 'b', 'bc', 'c', 'cd', 'd'], 'abcd'],
    // Shots that share a master share its texture.
    [['a', 'ab', 'b', 'ab', 'a'], 'ab'],
    // What is needed again soonest is kept.
    [['a', 'b', 'a', 'c', 'a'], 'abc'],
    [['ab', 'c', 'b'], 'abc'],
    // With room for two only, a third one in turn must be read again.
    [['a', 'b', 'c', 'a'], 'abc'],
    [['ab', 'bc', 'ca'], 'abca'],
  ])('of %j are read as %s', async (stretches, order) => {
    const { masters, load, read, live, most } = counted();
    for (const [index, names] of stretches.entries()) {
      const later = stretches.slice(index + 1).join('');
      await masters.take(reads(names), reads(later), load);
      for (const name of names) expect(live).toContain(name);
    }
    expect(read.join('')).toBe(order);
    expect(most()).toBeLessThanOrEqual(2);
  });
});

describe('stretches', () => {
  it('hold the frames in which the same shots are seen, in order', async () => {
    const scene = await loadScene(inFolder('three.yaml'));
    const frames = Array.from({ length: 25 }, (_, n) => n);
    expect(stretchesOf(scene, frames)).toEqual([
      { shots: [0], frames: frames.slice(0, 10) },
      { shots: [1], frames: frames.slice(10, 16) },
      { shots: [1, 2], frames: frames.slice(16, 20) },
      { shots: [2], frames: frames.slice(20) },
    ]);
  });
});
