import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Camera } from '../../src/camera/types.js';
import { type Pixels, pixels } from '../../src/master/pixels.js';
import { type GlContext, openContext } from '../../src/render/context.js';
import { beginUpload, type MasterTexture, uploadMaster } from '../../src/render/masterTexture.js';
import { type Portion, portionOf } from '../../src/render/portion.js';
import type { Quality } from '../../src/render/quality.js';
import { seenOf } from '../../src/render/seen.js';
import { BLACK, drawFrame } from '../support/gpu.js';
import { cameraFor } from '../support/scenes.js';

let context: GlContext;
beforeAll(async () => {
  context = await openContext();
});
afterAll(() => context.close());

/** Never dark: what a frame looked up of a page's empty parts would show. */
function pattern(width: number, height: number): Pixels {
  const data = new Uint8Array(width * height * 3);
  let state = 7;
  for (let i = 0; i < data.length; i++) {
    state = (Math.imul(state, 1103515245) + 12345) >>> 0;
    data[i] = 150 + (state >>> 16) * (100 / 65536);
  }
  return pixels(width, height, data);
}

/** Uploads only what the portion names. */
function uploadPortion(master: Pixels, portion: Portion): MasterTexture {
  const { x, y, width, height } = portion.source;
  const upload = beginUpload(context, master, master.depth, { portion });
  const samples = new Uint8Array(width * 3);
  for (let row = y; row < y + height; row++) {
    for (let i = 0; i < samples.length; i++) {
      const column = (x + Math.floor(i / 3)) % master.width;
      samples[i] = master.data[(row * master.width + column) * 3 + (i % 3)]!;
    }
    upload.add(samples);
  }
  return upload.finish();
}

/** Share of samples that differ, and by how many codes at most. */
function difference(a: Uint8Array, b: Uint8Array) {
  let [count, most] = [0, 0];
  for (const [i, value] of a.entries()) {
    if (value !== b[i]) count++;
    most = Math.max(most, Math.abs(value - b[i]!));
  }
  return { share: count / a.length, most };
}

const [WIDTH, HEIGHT] = [160, 120];
const VIEWS = [
  { projection: 'rectilinear', fov: 50 },
  { projection: 'rectilinear', fov: 95 },
  { projection: 'stereographic', fov: 150 },
  { projection: 'stereographic', fov: 250 },
  { projection: 'equidistant', fov: 120 },
  { projection: 'panini', fov: 110 },
  { projection: 'cylindrical', fov: 60 },
  { projection: 'equirectangular', fov: 70 },
] as const;
/** Over the seam, a pole, near one, and nothing of the kind. */
const AIMS = [
  { yaw: 0, pitch: 0 },
  { yaw: 178, pitch: 10 },
  { yaw: 30, pitch: -90 },
  { yaw: -100, pitch: 62, roll: 30 },
  { yaw: -170, pitch: -35, roll: -80 },
] as const;
// Of the second one level 1 is not half as large.
const MASTERS = [
  [1024, 512],
  [1000, 500],
] as const;

describe('portionOf', () => {
  it.each(MASTERS)('holds all that a frame looks up of %dx%d', (...size) => {
    const master = pattern(...size);
    const whole = uploadMaster(context, master);
    let read = 0;
    for (const [index, view] of VIEWS.entries()) {
      for (const [turn, aim] of AIMS.entries()) {
        const quality = (['draft', 'final', 'best'] as const)[(index + turn) % 3]!;
        const camera = cameraFor({ ...view, ...aim }, WIDTH, HEIGHT);
        const seen = seenOf([camera], WIDTH, HEIGHT, quality);
        if (seen === undefined) continue;
        const portion = portionOf(master, seen);
        const part = uploadPortion(master, portion);
        const options = { width: WIDTH, height: HEIGHT, background: BLACK, quality };
        const [expected, drawn] = [whole, part].map((texture) =>
          drawFrame(context, texture, camera, options),
        ) as [Uint8Array, Uint8Array];
        // Places on a page are floats, so that on another page a few lookups are rounded the other way.
        const { share, most } = difference(expected, drawn);
        const name = JSON.stringify({ ...view, ...aim, quality });
        expect(most, name).toBeLessThanOrEqual(1);
        expect(share, name).toBeLessThan(0.01);
        part.destroy();
        read += (portion.source.width * portion.source.height) / (size[0] * size[1]);
      }
    }
    whole.destroy();
    expect(read / VIEWS.length / AIMS.length).toBeLessThan(0.7);
  });

  const portionFor = (camera: Camera, quality: Quality) => {
    const seen = seenOf([camera], 1080, 1920, quality);
    return portionOf({ width: 8192, height: 4096 }, seen!);
  };

  it('is a small part for a close view', () => {
    const camera = cameraFor({ projection: 'rectilinear', fov: 75 }, 1080, 1920);
    const { source, layout } = portionFor(camera, 'final');
    // 75 degrees are 0.21 of the width; above and below the horizon they span more degrees of longitude.
    expect(source.width / 8192).toBeLessThan(0.33);
    // 107.5 degrees.
    expect(source.height / 4096).toBeLessThan(0.66);
    expect(layout.levels).toBeLessThanOrEqual(2);
  });

  it("leaves out the finest level's rows where a planet shrinks them", () => {
    const camera = cameraFor({ projection: 'stereographic', fov: 240, pitch: -90 }, 1080, 1920);
    const { source, levels } = portionFor(camera, 'final');
    expect(source).toMatchObject({ x: 0, width: 8192 });
    // Up to 148 degrees from the nadir; the finest level counts from 79 degrees on.
    expect(source.y / 4096).toBeGreaterThan(0.14);
    const [finest] = levels;
    expect((finest!.rows.end - finest!.rows.first) / 4096).toBeLessThan(0.6);
  });
});
