import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { markMaster } from '../../src/master/mark.js';
import { withMetadata } from '../../src/master/metadata.js';
import { renderStills } from '../../src/render.js';
import { loadScene } from '../../src/scene/load.js';
import type { Sequence, SequenceOutput } from '../../src/scene/types.js';

const SCENE = `
master: ramp.png
duration: 1
fps: 10
outputs: [sphere, 256x128]
keyframes:
  - {at: 0, projection: equirectangular, fov: 360, fovSide: horizontal}
`;

let folder: string;
let scene: Sequence;
const inFolder = (name: string) => path.join(folder, name);

beforeAll(async () => {
  folder = mkdtempSync(path.join(tmpdir(), 'orbreel-sphere-still-'));
  const data = Uint8Array.from({ length: 64 * 32 * 3 }, (_, i) => (i * 7) % 256);
  await sharp(data, { raw: { width: 64, height: 32, channels: 3 } })
    .png()
    .toFile(inFolder('ramp.png'));
  writeFileSync(inFolder('scene.yaml'), SCENE);
  scene = await loadScene(inFolder('scene.yaml'));
});
afterAll(() => rmSync(folder, { recursive: true }));

const still = async (output: SequenceOutput, name: string, depth: 8 | 16 = 8) => {
  const deliveries = [{ output, file: inFolder(name) }];
  await renderStills({ scene, deliveries, quality: 'draft', depth, overwrite: true, at: 0 });
};

/** ExifTool's own reading of the GPano fields. */
const gpanoIn = async (name: string) => {
  const tags = await withMetadata((tool) => tool.read(inFolder(name)));
  const own = tags.filter(({ group }) => group === 'XMP-GPano');
  return Object.fromEntries(own.map(({ name: field, value }) => [field, value]));
};

describe('stills of the whole sphere', () => {
  it.each(['still.jpg', 'still.png', 'still.webp', 'still.tif'])(
    'carry exact GPano XMP: %s',
    async (name) => {
      const output = scene.outputs[0]!;
      // Smaller than it is delivered: the metadata must follow the picture's own size.
      await still({ ...output, width: 256, height: 128 }, name);
      // The nine that "Photo Sphere XMP Metadata" and the Open Spherical Camera API require, and our name.
      expect(await gpanoIn(name)).toEqual({
        ProjectionType: 'equirectangular',
        UsePanoramaViewer: true,
        CroppedAreaImageWidthPixels: 256,
        CroppedAreaImageHeightPixels: 128,
        FullPanoWidthPixels: 256,
        FullPanoHeightPixels: 128,
        CroppedAreaLeftPixels: 0,
        CroppedAreaTopPixels: 0,
        PoseHeadingDegrees: 0,
        StitchingSoftware: 'Orbreel',
      });
      // Nothing is left for `orbreel master mark` to do.
      const again = await markMaster({ input: inFolder(name), overwrite: true });
      expect(again.changes).toEqual([]);
    },
  );

  it('say which way their centre lies, by the scene or else by the master', async () => {
    const headingOf = async (name: string, north: string, keyframe: string, stated?: number) => {
      await sharp(inFolder('ramp.png')).toFile(inFolder(`${name}.png`));
      if (stated !== undefined) {
        await markMaster({ input: inFolder(`${name}.png`), overwrite: true, heading: stated });
      }
      const text = `master: ${name}.png\nduration: 1\nfps: 10\noutputs: [sphere]\n${north}\nkeyframes: [{at: 0, ${keyframe}}]\n`;
      writeFileSync(inFolder(`${name}.yaml`), text);
      const turned = await loadScene(inFolder(`${name}.yaml`));
      const output = { ...turned.outputs[0]!, width: 128, height: 64 };
      const deliveries = [{ output, file: inFolder(`${name}.jpg`) }];
      await renderStills({ scene: turned, deliveries, quality: 'draft', overwrite: true, at: 0 });
      return (await gpanoIn(`${name}.jpg`)).PoseHeadingDegrees;
    };
    expect(await headingOf('n1', 'north: -137', 'yaw: 30, pitch: 20, roll: 5')).toBe(167);
    expect(await headingOf('n2', '', 'yaw: 30', 340)).toBe(10);
    expect(await headingOf('n3', 'north: 90', 'yaw: 89.5', 12)).toBe(359.5);
    expect(await headingOf('n4', '', 'yaw: 30')).toBe(0);
  });

  it('keep their pixels and 16 bits', async () => {
    const size = { width: 256, height: 128 };
    await still({ ...scene.outputs[0]!, ...size }, 'marked.png', 16);
    await still(scene.outputs[1]!, 'plain.png', 16);
    const pixels = (name: string) => sharp(inFolder(name)).raw({ depth: 'ushort' }).toBuffer();
    expect(await pixels('marked.png')).toEqual(await pixels('plain.png'));
    expect((await sharp(inFolder('marked.png')).metadata()).depth).toBe('ushort');
  });

  it('say so to exiv2 too', async () => {
    await still({ ...scene.outputs[0]!, width: 256, height: 128 }, 'read.jpg');
    const said = execFileSync('exiv2', ['-PXkv', inFolder('read.jpg')], { encoding: 'utf8' });
    expect(said).toMatch(/Xmp\.GPano\.FullPanoWidthPixels\s+256/);
  });
});

it('flat stills claim nothing, whatever the master claims', async () => {
  await markMaster({ input: inFolder('ramp.png'), overwrite: true });
  await still(scene.outputs[1]!, 'flat.jpg');
  expect(await gpanoIn('flat.jpg')).toEqual({});
});
