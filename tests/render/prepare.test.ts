import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { InputError, Interrupted } from '../../src/errors.js';
import { openMaster } from '../../src/master/open.js';
import { type GlContext, openContext } from '../../src/render/context.js';
import { uploadMaster } from '../../src/render/masterTexture.js';
import { prepareMaster } from '../../src/render/prepare.js';
import { seenOf } from '../../src/render/seen.js';
import { BLACK, drawFrame } from '../support/gpu.js';
import { photo } from '../support/photos.js';
import { cameraFor } from '../support/scenes.js';

let folder: string;
let file: string;
let context: GlContext;
beforeAll(async () => {
  folder = mkdtempSync(path.join(tmpdir(), 'orbreel-prepare-'));
  file = path.join(folder, 'park.png');
  const { data, width, height } = await photo('park');
  await sharp(data, { raw: { width, height, channels: 3 } })
    .png()
    .toFile(file);
  context = await openContext();
});
afterAll(() => {
  context.close();
  rmSync(folder, { recursive: true });
});

const textures = () => (context.regl.stats as { textureCount: number }).textureCount;

describe('prepareMaster', () => {
  // A wide planet shrinks the master to a fifth, a close view not at all.
  it.each([
    ['stereographic', 150, 'final'],
    ['rectilinear', 60, 'final'],
    ['rectilinear', 60, 'draft'],
    ['stereographic', 150, 'best'],
  ] as const)('without the levels too coarse for it draws the same: %s %d, %s', async (...view) => {
    const [projection, fov, quality] = view;
    const [width, height] = [240, 160];
    const camera = cameraFor({ projection, fov, yaw: 150, pitch: -60 }, width, height);
    const seen = seenOf([camera], width, height, quality);
    expect(seen).toBeDefined();
    const all = await prepareMaster(context, file);
    const some = await prepareMaster(context, file, { seen });
    expect(some.layout.levels).toBeLessThan(all.layout.levels);
    const options = { width, height, background: BLACK, quality };
    const [expected, drawn] = [all, some].map((master) =>
      drawFrame(context, master, camera, options),
    );
    expect(drawn).toEqual(expected);
    all.destroy();
    some.destroy();
  });

  it('keeps all levels where a picture has a rim', () => {
    const camera = cameraFor({ projection: 'mirror-ball', fov: 360 }, 240, 160);
    expect(seenOf([camera], 240, 160, 'final')).toBeUndefined();
  });

  it('gives what decoding and uploading the whole gives, in strips too', async () => {
    const whole = uploadMaster(context, await openMaster(file));
    const prepared = await prepareMaster(async () => context, file, { stripBytes: 50_000 });
    expect(prepared.layout).toEqual(whole.layout);
    const camera = cameraFor(
      { projection: 'stereographic', fov: 260, yaw: 150, pitch: -60 },
      96,
      96,
    );
    const options = { width: 96, height: 96, background: BLACK, quality: 'final' } as const;
    const [a, b] = [whole, prepared].map((texture) => drawFrame(context, texture, camera, options));
    expect(a).toEqual(b);
    for (const texture of [whole, prepared]) texture.destroy();
  });

  it('leaves no textures behind when it is interrupted or the file is damaged', async () => {
    const before = textures();
    expect(before).toBeTypeOf('number');
    const stop = new AbortController();
    stop.abort();
    await expect(prepareMaster(context, file, { signal: stop.signal })).rejects.toThrow(
      Interrupted,
    );
    const cut = path.join(folder, 'cut.png');
    writeFileSync(cut, (await sharp(file).png().toBuffer()).subarray(0, 150_000));
    await expect(prepareMaster(context, cut, { stripBytes: 50_000 })).rejects.toThrow(InputError);
    expect(textures()).toBe(before);
  });

  it('passes on that no context could be had', async () => {
    const none = () => Promise.reject<GlContext>(new Error('no context'));
    await expect(prepareMaster(none, file)).rejects.toThrow('no context');
  });
});
