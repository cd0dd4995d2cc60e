import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { openStudio, renderStills } from '../../src/render.js';
import { loadScene } from '../../src/scene/load.js';

const folder = mkdtempSync(join(tmpdir(), 'orbreel-studio-'));
const inFolder = (name: string) => join(folder, name);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const studio = openStudio();
afterAll(() => studio.close());

const writeMaster = (colour: string) =>
  sharp({ create: { width: 256, height: 128, channels: 3, background: '#203040' } })
    .composite([{ input: { create: { width: 90, height: 60, channels: 3, background: colour } } }])
    .png()
    .toFile(inFolder('master.png'));
beforeAll(() => writeMaster('#f0c040'));

/** Draws the scene with that much changed; yields the file's bytes and how many masters were read. */
async function draw(view: string, more = {}, where = studio as typeof studio | undefined) {
  const text = `master: master.png\nduration: 1\noutputs: [96x54]\nkeyframes: [{ at: 0, ${view} }]\n`;
  await writeFile(inFolder('scene.yaml'), text);
  const scene = await loadScene(inFolder('scene.yaml'));
  let read = 0;
  const onMaster = () => read++;
  const deliveries = [{ output: scene.outputs[0]!, file: inFolder('a.png') }];
  const job = { scene, deliveries, quality: 'final' as const, overwrite: true, at: 0, onMaster };
  await renderStills({ ...job, ...more }, where);
  return { read, bytes: readFileSync(inFolder('a.png')) };
}

const NEAR = 'yaw: -60, pitch: 0, fov: 40, projection: rectilinear';
const PLANET = 'yaw: 0, pitch: -90, fov: 300, projection: stereographic';

it('keeps masters for other views, and draws what a studio of its own would', async () => {
  expect((await draw(NEAR)).read).toBe(1);
  const kept = await draw(PLANET);
  expect(kept.read).toBe(0);
  expect(kept.bytes).toEqual((await draw(PLANET, {}, undefined)).bytes);
  // Drafts of a close-up would do with a small master, which then would not do for the next.
  expect((await draw(PLANET, { quality: 'draft' })).read).toBe(0);
});

it('reads a master again that was written anew, or is wanted deeper', async () => {
  const before = await draw(NEAR);
  await writeMaster('#4060f0');
  const after = await draw(NEAR);
  expect(after.read).toBe(1);
  expect(after.bytes).not.toEqual(before.bytes);
  expect((await draw(NEAR, { depth: 16 })).read).toBe(1);
});
