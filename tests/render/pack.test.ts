import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Pixels, pixels } from '../../src/master/pixels.js';
import { type GlContext, openContext } from '../../src/render/context.js';
import { as, BLACK, upload, WAYS, withRenderer } from '../support/gpu.js';
import { photo } from '../support/photos.js';
import { cameraFor } from '../support/scenes.js';

/**
 * 100 % and 75 % bars as 8-bit limited-range BT.709 Y'CbCr (ITU-R BT.709-6, Y = 219 Y' + 16,
 * C = 224 C' + 128, worked out from R'G'B').
 */
const BARS: readonly (readonly [rgb: readonly number[], ycc: readonly number[]])[] = [
  [
    [255, 255, 255],
    [235, 128, 128],
  ],
  [
    [255, 255, 0],
    [219, 16, 138],
  ],
  [
    [0, 255, 255],
    [188, 154, 16],
  ],
  [
    [0, 255, 0],
    [173, 42, 26],
  ],
  [
    [255, 0, 255],
    [78, 214, 230],
  ],
  [
    [255, 0, 0],
    [63, 102, 240],
  ],
  [
    [0, 0, 255],
    [32, 240, 118],
  ],
  [
    [0, 0, 0],
    [16, 128, 128],
  ],
  [
    [191, 191, 191],
    [180, 128, 128],
  ],
  [
    [191, 191, 0],
    [168, 44, 136],
  ],
  [
    [0, 191, 191],
    [145, 147, 44],
  ],
  [
    [0, 191, 0],
    [133, 63, 52],
  ],
  [
    [191, 0, 191],
    [63, 193, 204],
  ],
  [
    [191, 0, 0],
    [51, 109, 212],
  ],
  [
    [0, 0, 191],
    [28, 212, 120],
  ],
];

let context: GlContext;
beforeAll(async () => {
  context = await openContext();
});
afterAll(() => context.close());

describe.each(WAYS)('planar 4:2:0, by %s', (way) => {
  it.each(BARS)("turns R'G'B' %o into Y'CbCr %o", (rgb, [y, cb, cr]) => {
    const data = Uint8Array.from({ length: 64 * 32 * 3 }, (_, i) => rgb[i % 3]!);
    const { planes } = drawn(way, pixels(64, 32, data), 16, 16);
    for (const [plane, expected] of [y, cb, cr].entries()) {
      for (const value of planes[plane]!)
        expect(Math.abs(value - expected!)).toBeLessThanOrEqual(1);
    }
  });

  // Widths that are no multiple of 8 take another way out of the shader's units.
  it.each([
    [64, 48],
    [70, 46],
    [34, 22],
  ])('at %ix%i equals the RGBA frame, converted in double precision', async (width, height) => {
    const { rgba, planes } = drawn(way, await photo('park'), width, height);
    const [luma, blue, red] = planes;
    const ycc = (x: number, y: number) => toYcc(rgba, width, x, y);
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        expect(Math.abs(luma![y * width + x]! - ycc(x, y)[0])).toBeLessThanOrEqual(0.51);
      }
    }
    for (let y = 0; y < height / 2; y++) {
      for (let x = 0; x < width / 2; x++) {
        // Sited left: a quarter, a half and a quarter of the columns round the even one, both rows alike.
        const mean = [1, 2].map((part) => {
          const column = (shift: number) =>
            (ycc(clampTo(2 * x + shift, width), 2 * y)[part]! +
              ycc(clampTo(2 * x + shift, width), 2 * y + 1)[part]!) /
            2;
          return column(-1) / 4 + column(0) / 2 + column(1) / 4;
        });
        const at = (y * width) / 2 + x;
        expect(Math.abs(blue![at]! - mean[0]!)).toBeLessThanOrEqual(1.1);
        expect(Math.abs(red![at]! - mean[1]!)).toBeLessThanOrEqual(1.1);
      }
    }
  });
});

const clampTo = (x: number, width: number): number => Math.min(width - 1, Math.max(0, x));

/** ITU-R BT.709-6, limited range, unrounded. */
function toYcc(rgba: Uint8Array, width: number, x: number, y: number): [number, number, number] {
  const at = (y * width + x) * 4;
  const [r, g, b] = [rgba[at]! / 255, rgba[at + 1]! / 255, rgba[at + 2]! / 255];
  const luma = 0.2126 * r + 0.7152 * g + 0.0722 * b;
  return [16 + 219 * luma, 128 + (224 * (b - luma)) / 1.8556, 128 + (224 * (r - luma)) / 1.5748];
}

/** The same frame as RGBA and as its three planes. */
function drawn(way: (typeof WAYS)[number], master: Pixels, width: number, height: number) {
  const texture = upload(context, master);
  const options = { width, height, background: BLACK, quality: 'draft' } as const;
  const result = withRenderer(as(way, context), texture, options, (renderer) => {
    const rgba = new Uint8Array(width * height * 4);
    const yuv = new Uint8Array(width * height * 1.5);
    renderer.draw([cameraFor({ projection: 'rectilinear', fov: 100, yaw: 60 }, width, height)]);
    renderer.read('rgba', rgba);
    renderer.read('yuv420p', yuv);
    const count = width * height;
    const ends = [count, count * 1.25, count * 1.5];
    return { rgba, planes: ends.map((end, i) => yuv.subarray(ends[i - 1] ?? 0, end)) };
  });
  texture.destroy();
  return result;
}
