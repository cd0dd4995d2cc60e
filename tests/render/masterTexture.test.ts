import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { WorkError } from '../../src/errors.js';
import { type Depth, newSamples, type Pixels, pixels } from '../../src/master/pixels.js';
import { GUTTER, levelPlace, levelSize } from '../../src/render/atlas.js';
import { type GlContext, openContext } from '../../src/render/context.js';
import {
  beginUpload,
  type MasterTexture,
  OTHER_UNITS,
  uploadMaster,
} from '../../src/render/masterTexture.js';
import { createPyramid } from '../../src/render/pyramid.js';
import { deepCode, readPage } from '../support/deep.js';
import { BLACK, drawFrame } from '../support/gpu.js';
import { photo } from '../support/photos.js';
import { cameraFor } from '../support/scenes.js';

let context: GlContext;
beforeAll(async () => {
  context = await openContext();
});
afterAll(() => context.close());

const withLimits = (limits: Partial<GlContext['info']>): GlContext => ({
  ...context,
  info: { ...context.info, ...limits },
});

function noise(width: number, height: number, depth: Depth): Pixels {
  const data = newSamples(depth, width * height * 3);
  for (let i = 0; i < data.length; i++) data[i] = ((i * 2654435761) % 2 ** 31) >> (31 - depth);
  return pixels(width, height, data);
}

function levelsOf(master: Pixels, { layout }: MasterTexture): Pixels[] {
  const sizes = Array.from({ length: layout.levels }, (_, level) => levelSize(layout, level));
  const levels = sizes.map(({ width, height }) =>
    pixels(width, height, newSamples(master.depth, width * height * 3)),
  );
  const pyramid = createPyramid(master.depth, master, sizes, (level, row, codes) =>
    levels[level]!.data.set(codes, row * codes.length),
  );
  pyramid.add(master.data);
  return levels;
}

/** A texel that may lie beyond the level's edges: round the seam, or past a pole on the other side. */
function texel({ width, height, data }: Pixels, x: number, y: number, channel: number): number {
  const past = y < 0 || y >= height;
  const row = Math.max(0, y < 0 ? -1 - y : y >= height ? 2 * height - 1 - y : y);
  const column = (((x + (past ? width >> 1 : 0)) % width) + width) % width;
  return data[(row * width + column) * 3 + channel]!;
}

/** How many texels of all levels on all pages, gutters too, differ from what they should be. */
function wrongTexels(master: Pixels, texture: MasterTexture): number {
  const { layout, pages, lowPages } = texture;
  const levels = levelsOf(master, texture);
  let wrong = 0;
  pages.forEach((page, tile) => {
    const high = readPage(context, page);
    const low = lowPages && readPage(context, lowPages[tile]!);
    for (const [index, level] of levels.entries()) {
      const place = levelPlace(layout, index);
      const left = (tile % layout.tilesX) * place.width;
      const top = Math.floor(tile / layout.tilesX) * place.height;
      for (let y = -GUTTER; y < place.height + GUTTER; y++) {
        for (let x = -GUTTER; x < place.width + GUTTER; x++) {
          const at = ((place.y + y) * layout.page.width + place.x + x) * 4;
          for (let c = 0; c < 3; c++) {
            const found = low ? deepCode(high, low, at, c) : high[at + c]!;
            if (found !== texel(level, left + x, top + y, c)) wrong++;
          }
        }
      }
    }
  });
  return wrong;
}

describe('pages', () => {
  it.each([
    [64, 32, 8, 16384, 1],
    [64, 32, 16, 16384, 1],
    [90, 45, 8, 64, 3],
    [128, 64, 16, 64, 8],
    [101, 51, 8, 16384, 1],
  ] as const)(
    'hold every texel of %ix%i at %i bits, gutters too',
    (width, height, depth, side, least) => {
      const master = noise(width, height, depth);
      const texture = uploadMaster(withLimits({ maxTextureSize: side }), master);
      expect(texture.depth).toBe(depth);
      expect(texture.pages.length).toBeGreaterThanOrEqual(least);
      expect(texture.lowPages?.length).toBe(depth === 16 ? texture.pages.length : undefined);
      expect(texture.reducedFrom).toBeUndefined();
      expect(wrongTexels(master, texture)).toBe(0);
      texture.destroy();
    },
  );

  it('are the same for rows that come in portions', () => {
    const master = noise(128, 64, 16);
    const upload = beginUpload(withLimits({ maxTextureSize: 64 }), master, 16);
    for (let y = 0; y < 64; y += 5)
      upload.add(master.data.subarray(y * 384, Math.min(64, y + 5) * 384));
    const texture = upload.finish();
    expect(wrongTexels(master, texture)).toBe(0);
    texture.destroy();
  });
});

describe('a device too small for the master', () => {
  it('takes it at half the size, and tells', () => {
    const small = withLimits({ maxTextureSize: 64, maxTextureUnits: OTHER_UNITS + 2 });
    const master = noise(128, 64, 8);
    const texture = uploadMaster(small, master);
    expect(texture.layout).toMatchObject({ width: 64, height: 32 });
    expect(texture.reducedFrom).toEqual({ width: 128, height: 64 });
    expect(wrongTexels(master, texture)).toBe(0);
    texture.destroy();
  });

  it('counts both textures of a 16-bit page', () => {
    // Three pages of 8 bits, but one of 16; two are needed.
    const small = withLimits({ maxTextureSize: 110, maxTextureUnits: OTHER_UNITS + 3 });
    const [eight, sixteen] = ([8, 16] as const).map((depth) =>
      uploadMaster(small, noise(128, 64, depth)),
    ) as [MasterTexture, MasterTexture];
    expect(eight.layout.width).toBe(128);
    expect(sixteen.layout.width).toBe(64);
    for (const texture of [eight, sixteen]) texture.destroy();
  });

  it('says so when nothing fits', () => {
    const none = withLimits({ maxTextureSize: 4 });
    expect(() => uploadMaster(none, noise(64, 32, 8))).toThrow(WorkError);
    expect(() => uploadMaster(none, noise(64, 32, 8))).toThrow(
      /^A master of 64x32 does not fit this graphics device, which holds \d+ textures of at most 4x4\.$/,
    );
  });
});

describe('16-bit masters', () => {
  const FRAME = { width: 96, height: 96, background: BLACK, quality: 'best' } as const;

  it('draw the picture that 8 bits draw, when they hold the same', async () => {
    const eight = await photo('park');
    const deep = pixels(
      eight.width,
      eight.height,
      Uint16Array.from(eight.data, (c) => c * 257),
    );
    const textures = [eight, deep].map((master) => uploadMaster(context, master));
    for (const view of [
      { projection: 'rectilinear', fov: 90, yaw: 180, pitch: -20 },
      { projection: 'stereographic', fov: 250, pitch: -90 },
    ]) {
      const camera = cameraFor(view, 96, 96);
      const [a, b] = textures.map((texture) => drawFrame(context, texture, camera, FRAME)) as [
        Uint8Array,
        Uint8Array,
      ];
      // One code: coarse levels of the 8-bit master are rounded to 8 bits.
      expect(Math.max(...a.map((value, i) => Math.abs(value - b[i]!)))).toBeLessThanOrEqual(1);
    }
    for (const texture of textures) texture.destroy();
  });

  it('show no border between tiles', async () => {
    const eight = await photo('dawn');
    const deep = pixels(
      eight.width,
      eight.height,
      Uint16Array.from(eight.data, (c) => c * 257),
    );
    const whole = uploadMaster(context, deep);
    const tiled = uploadMaster(withLimits({ maxTextureSize: 260 }), deep);
    expect(whole.pages.length).toBe(1);
    expect(tiled.pages.length).toBeGreaterThan(2);
    const camera = cameraFor({ projection: 'rectilinear', fov: 110, yaw: 175, pitch: -30 }, 96, 96);
    const [a, b] = [whole, tiled].map((texture) => drawFrame(context, texture, camera, FRAME)) as [
      Uint8Array,
      Uint8Array,
    ];
    expect(Math.max(...a.map((value, i) => Math.abs(value - b[i]!)))).toBeLessThanOrEqual(1);
    for (const texture of [whole, tiled]) texture.destroy();
  });
});
