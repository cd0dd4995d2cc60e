import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Pixels } from '../../src/master/pixels.js';
import { projectionNames } from '../../src/projection/index.js';
import { type GlContext, openContext } from '../../src/render/context.js';
import { as, BLACK, drawFrame, upload, WAYS } from '../support/gpu.js';
import { patchwork } from '../support/patchwork.js';
import { photo } from '../support/photos.js';
import { psnr, referenceFrame } from '../support/reference.js';
import { cameraFor, type View } from '../support/scenes.js';
import { valley } from '../support/valley.js';
import { zonePlate } from '../support/zone-plate.js';

/** Rays along a pixel's side in the reference: 256 a pixel. */
const REFERENCE_SIDE = 16;

const FOVS: Record<string, readonly number[]> = {
  rectilinear: [40, 100, 150],
  stereographic: [100, 300],
  'mirror-ball': [120, 360],
  equidistant: [180, 360],
  'equal-area': [180, 360],
  orthographic: [90, 180],
  cylindrical: [90, 150],
  panini: [90, 150],
  equirectangular: [90, 180],
};

// A graphics card draws `best` as software does.
const QUALITIES = [
  ['final', 'software'],
  ['final', 'graphics card'],
  ['best', 'software'],
] as const;

let context: GlContext;
beforeAll(async () => {
  context = await openContext();
});
afterAll(() => context.close());

describe('frames against a double-precision reference of 256 rays a pixel', () => {
  it('knows a field of view for every projection', () => {
    expect(Object.keys(FOVS).sort()).toEqual([...projectionNames].sort());
  });

  // dB, least of all views.
  describe.each([
    { name: 'dawn', width: 64, height: 40, final: 40, best: 50 },
    { name: 'park', width: 64, height: 40, final: 40, best: 50 },
    { name: 'demo', width: 96, height: 60, final: 40, best: 50 },
    { name: 'zone plate', width: 64, height: 40, final: 24, best: 45 },
  ] as const)('on the $name', ({ name, width, height, ...least }) => {
    let master: Pixels;
    beforeAll(async () => {
      if (name === 'zone plate') master = zonePlate(1024);
      else master = name === 'demo' ? await valley(2048) : await photo(name);
    });

    it.each(projectionNames)(
      `reaches ${least.final} dB, at best ${least.best}, in %s`,
      (projection) => {
        const texture = upload(context, master);
        for (const fov of FOVS[projection]!) {
          const camera = cameraFor(
            { projection, fov, yaw: 170, pitch: -50, roll: 20 },
            width,
            height,
          );
          const reference = referenceFrame(master, camera, width, height, REFERENCE_SIDE);
          for (const [quality, way] of QUALITIES) {
            const options = { ...frame(width, height), quality };
            const drawn = drawFrame(as(way, context), texture, camera, options);
            expect(psnr(drawn, reference), `${quality}, ${way}, fov ${fov}`).toBeGreaterThan(
              least[quality],
            );
          }
        }
        texture.destroy();
      },
    );
  });

  // A little planet turned by a quarter of a pixel at its rim between frames.
  it.each(['final', 'best'] as const)('does not shimmer on a slow turn (%s)', async (quality) => {
    const side = 48;
    const master = await photo('park');
    const texture = upload(context, master);
    const cameras = [0, 1, 2, 3].map((step) =>
      cameraFor({ projection: 'stereographic', fov: 280, yaw: step * 0.6, pitch: -90 }, side, side),
    );
    const energy = (frames: Uint8Array[]) =>
      frames.slice(1).reduce((sum, later, i) => sum + 10 ** (-psnr(later, frames[i]!) / 10), 0);
    const drawn = cameras.map((camera) =>
      drawFrame(context, texture, camera, { ...frame(side, side), quality }),
    );
    const calm = cameras.map((camera) =>
      referenceFrame(master, camera, side, side, REFERENCE_SIDE),
    );
    expect(energy(drawn) / energy(calm)).toBeLessThan(1.15);
    texture.destroy();
  });
});

const frame = (width: number, height: number) => ({
  width,
  height,
  background: BLACK,
  quality: 'final' as const,
});

describe.each(WAYS)('orientation, by %s', (way) => {
  /** The colour of the patch in the frame's centre, at its right edge's or top edge's middle. */
  const look = (view: Partial<View>): { centre: string; right: string; top: string } => {
    const texture = upload(context, patchwork.pixels);
    // 90 degrees: the edges' middles look 45 degrees to the right of the centre and above it.
    const camera = cameraFor({ projection: 'rectilinear', fov: 90, ...view }, 65, 65);
    const rgba = drawFrame(as(way, context), texture, camera, frame(65, 65));
    texture.destroy();
    const at = (x: number, y: number) => patchwork.nameOf(rgba.subarray((y * 65 + x) * 4));
    return { centre: at(32, 32), right: at(63, 32), top: at(32, 1) };
  };

  // Patches are named by their centre: longitude, latitude, in degrees.
  it.each([
    [{}, { centre: '0,0', right: '45,0', top: '0,45' }],
    [{ yaw: 90 }, { centre: '90,0', right: '135,0', top: '90,45' }],
    [{ yaw: -90 }, { centre: '-90,0', right: '-45,0', top: '-90,45' }],
    [{ yaw: 180 }, { centre: '180,0', right: '-135,0', top: '180,45' }],
    [{ yaw: 405 }, { centre: '45,0', right: '90,0', top: '45,45' }],
    [{ pitch: 45 }, { centre: '0,45', right: '45,45', top: 'zenith' }],
    [{ pitch: -90 }, { centre: 'nadir', right: '90,-45', top: '0,-45' }],
    [{ pitch: 90 }, { centre: 'zenith', right: '90,45', top: '180,45' }],
    // The camera turned clockwise by a quarter: its right is down, its top is the right.
    [{ roll: 90 }, { centre: '0,0', right: '0,-45', top: '45,0' }],
    [
      { yaw: 90, pitch: -45 },
      { centre: '90,-45', right: '135,-45', top: '90,0' },
    ],
  ] as const)('%o shows %o', (view, seen) => {
    expect(look(view)).toEqual(seen);
  });
});

describe.each(WAYS)('seam and poles, by %s', (way) => {
  /** Mean absolute difference of neighbouring pixels along row or column `line`, over RGB. */
  const roughness = (rgba: Uint8Array, side: number, x: number): number => {
    let sum = 0;
    for (let y = 0; y < side; y++) {
      for (let c = 0; c < 3; c++) {
        sum += Math.abs(rgba[(y * side + x) * 4 + c]! - rgba[(y * side + x + 1) * 4 + c]!);
      }
    }
    return sum / (3 * side);
  };

  it('shows the columns across longitude 180 no rougher than others', async () => {
    const side = 128;
    const master = await photo('park');
    const texture = upload(context, master);
    const camera = cameraFor({ projection: 'rectilinear', fov: 60, yaw: 180 }, side, side);
    const rgba = drawFrame(as(way, context), texture, camera, frame(side, side));
    const lines = Array.from({ length: side - 1 }, (_, x) => roughness(rgba, side, x));
    const seam = Math.max(...lines.slice(62, 65));
    expect(seam).toBeLessThanOrEqual(Math.max(...lines.slice(40, 60), ...lines.slice(67, 87)));
    texture.destroy();
  });

  it.each([90, -90])('agrees with the reference at pitch %i, close up', async (pitch) => {
    const master = await photo('dawn');
    const texture = upload(context, master);
    const camera = cameraFor({ projection: 'rectilinear', fov: 40, pitch }, 96, 96);
    const drawn = drawFrame(as(way, context), texture, camera, frame(96, 96));
    expect(psnr(drawn, referenceFrame(master, camera, 96, 96, 8))).toBeGreaterThan(40);
    texture.destroy();
  });
});

describe('tiles', () => {
  it('shows no border: many pages give the picture that one gives', async () => {
    const master = await photo('park');
    const whole = upload(context, master);
    const small = { ...context, info: { ...context.info, maxTextureSize: 200 } };
    const tiled = upload(small, master);
    expect(whole.pages.length).toBe(1);
    expect(tiled.pages.length).toBeGreaterThan(4);
    for (const view of [
      { projection: 'rectilinear', fov: 100, yaw: 170, pitch: -30 },
      { projection: 'stereographic', fov: 300, pitch: -90 },
    ]) {
      const camera = cameraFor(view, 128, 128);
      const [a, b] = [whole, tiled].map((texture) =>
        drawFrame(context, texture, camera, frame(128, 128)),
      ) as [Uint8Array, Uint8Array];
      expect(Math.max(...a.map((value, i) => Math.abs(value - b[i]!)))).toBeLessThanOrEqual(1);
    }
    whole.destroy();
    tiled.destroy();
  });
});

describe('colour', () => {
  it('leaves every grey and the primaries as they are', () => {
    const columns = 20;
    const greys = Array.from({ length: 256 }, (_, code) => [code, code, code]);
    const colours = [...greys, [255, 0, 0], [0, 255, 0], [0, 0, 255], [12, 200, 99]];
    const rows = colours.length / columns;
    const master = patches(1000, 500, columns, rows, colours);
    const texture = upload(context, master);
    for (const [index, colour] of colours.entries()) {
      const yaw = (((index % columns) + 0.5) / columns - 0.5) * 360;
      const pitch = (0.5 - (Math.floor(index / columns) + 0.5) / rows) * 180;
      const camera = cameraFor({ projection: 'rectilinear', fov: 0.5, yaw, pitch }, 16, 16);
      const rgba = drawFrame(context, texture, camera, frame(16, 16));
      expect([...rgba.subarray(0, 4)]).toEqual([...colour, 255]);
    }
    texture.destroy();
  });

  it('draws a transparent background with no light of its own', () => {
    const texture = upload(context, patchwork.pixels);
    const camera = cameraFor({ projection: 'mirror-ball', fov: 360 }, 64, 64);
    const clear = { kind: 'colour', colour: [0, 0, 0, 0] } as const;
    const rgba = drawFrame(context, texture, camera, { ...frame(64, 64), background: clear });
    expect([...rgba.subarray(0, 4)]).toEqual([0, 0, 0, 0]);
    expect(rgba[(32 * 64 + 32) * 4 + 3]).toBe(255);
    texture.destroy();
  });
});

/** A master of `columns` x `rows` plain patches. */
function patches(
  width: number,
  height: number,
  columns: number,
  rows: number,
  colours: readonly (readonly number[])[],
): Pixels {
  const data = new Uint8Array(width * height * 3);
  for (let i = 0; i < width * height; i++) {
    const column = Math.floor(((i % width) / width) * columns);
    const row = Math.floor((Math.floor(i / width) / height) * rows);
    data.set(colours[row * columns + column]!, i * 3);
  }
  return { width, height, depth: 8, data };
}
