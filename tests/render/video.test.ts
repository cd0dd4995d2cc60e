import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { newSamples, type Pixels, pixels } from '../../src/master/pixels.js';
import { layoutFor } from '../../src/master/video/layout.js';
import type { VideoColour } from '../../src/master/video/types.js';
import { type GlContext, openContext } from '../../src/render/context.js';
import { type MasterTexture, uploadMaster } from '../../src/render/masterTexture.js';
import { SAMPLING } from '../../src/render/quality.js';
import { conversionOf } from '../../src/render/video/matrix.js';
import { everything, isWithin, needOf } from '../../src/render/video/need.js';
import { createVideoTexture } from '../../src/render/video/videoTexture.js';
import { deepCode, readPage } from '../support/deep.js';
import { BLACK, drawFrame } from '../support/gpu.js';
import { cameraFor } from '../support/scenes.js';

let context: GlContext;
beforeAll(async () => {
  context = await openContext();
});
afterAll(() => context.close());

const COLOUR: VideoColour = { matrix: 'bt709', range: 'limited', primaries: 'bt709', site: [0, 0] };

/** Fine and coarse waves, in all channels otherwise, across the seam and round the poles. */
function waves(width: number, height: number, bits: 8 | 10): Uint8Array {
  const count = width * height;
  const samples = bits === 8 ? new Uint8Array(count * 3) : new Uint16Array(count * 3);
  const step = 2 ** (bits - 8);
  for (let i = 0; i < count; i++) {
    const [u, v] = [(i % width) / width, Math.floor(i / width) / height];
    const wave = (across: number, down: number) => Math.sin(2 * Math.PI * (across * u + down * v));
    samples[i] = step * (126 + 60 * wave(width / 6, height / 9) + 40 * wave(3, 2));
    samples[count + i] = step * (128 + 30 * wave(5, 1) * wave(0, 7));
    samples[2 * count + i] = step * (128 + 30 * wave(2, 11));
  }
  return new Uint8Array(samples.buffer);
}

/** The same frame as a picture, converted in double precision. */
function asPicture(frame: Uint8Array, width: number, height: number, bits: 8 | 10): Pixels {
  const count = width * height;
  const samples = bits === 8 ? frame : new Uint16Array(frame.buffer);
  const { matrix, zero } = conversionOf(COLOUR, { bits });
  const depth = bits === 8 ? 8 : 16;
  const data = newSamples(depth, count * 3);
  for (let i = 0; i < count * 3; i++) {
    const [texel, channel] = [Math.floor(i / 3), i % 3];
    let code = 0;
    for (let c = 0; c < 3; c++) {
      code += matrix[c * 3 + channel]! * (samples[c * count + texel]! / (2 ** bits - 1) - zero[c]!);
    }
    data[i] = Math.round((2 ** depth - 1) * Math.min(1, Math.max(0, code)));
  }
  return pixels(width, height, data);
}

/** Codes of all pages, 16 bits put together; red, green and blue. */
function codesOf(texture: MasterTexture): number[] {
  const low = texture.lowPages?.map((page) => readPage(context, page));
  return texture.pages.flatMap((page, index) => {
    const high = readPage(context, page);
    return Array.from(high, (byte, at) => {
      const channel = at % 4;
      if (channel === 3) return 0;
      return low === undefined ? byte : deepCode(high, low[index]!, at - channel, channel);
    });
  });
}

/** How far apart the codes of two textures' pages are: the worst, and in decibels. */
function difference(found: MasterTexture, wanted: MasterTexture, most: number) {
  const [a, b] = [codesOf(found), codesOf(wanted)];
  let worst = 0;
  let squares = 0;
  for (let i = 0; i < b.length; i++) {
    const off = Math.abs(a[i]! - b[i]!);
    worst = Math.max(worst, off);
    squares += off * off;
  }
  return { worst, decibels: 10 * Math.log10(most ** 2 / (squares / b.length)) };
}

describe("a video frame's levels", () => {
  it.each([
    ['with bands of rows round the poles', 1024, 512, 16384, 1],
    ['that are no exact halves', 600, 300, 16384, 1],
    ['on several pages', 1024, 512, 700, 3],
  ])('are those of the same picture, %s', (_, width, height, maxTextureSize, pages) => {
    const limited = { ...context, info: { ...context.info, maxTextureSize } };
    const frame = waves(width, height, 8);
    const picture = uploadMaster(limited, asPicture(frame, width, height, 8));
    const { layout } = layoutFor('yuv444p');
    const video = createVideoTexture(limited, { width, height, layout, colour: COLOUR }, 8);
    video.show(frame);
    expect(video.layout).toEqual(picture.layout);
    expect(video.pages.length).toBe(pages);
    const { worst, decibels } = difference(video, picture, 255);
    // The few rows next to the poles are averaged from halved ones; waves of six texels show it.
    expect(worst).toBeLessThanOrEqual(6);
    expect(decibels).toBeGreaterThan(55);
    picture.destroy();
    video.destroy();
  });

  it('keep more than 8 bits', () => {
    const [width, height] = [512, 256];
    const frame = waves(width, height, 10);
    const picture = uploadMaster(context, asPicture(frame, width, height, 10));
    const { layout } = layoutFor('yuv444p10le');
    const video = createVideoTexture(context, { width, height, layout, colour: COLOUR }, 16);
    video.show(frame);
    const { decibels } = difference(video, picture, 65535);
    // Level 0 alone, which is not averaged, would come out at 90 and more; sRGB's curve as a polynomial
    // (shaders/common/light.glsl) bounds the rest.
    expect(decibels).toBeGreaterThan(58);
    picture.destroy();
    video.destroy();
  });

  it('are as good where only what a view needs is made', () => {
    const [width, height] = [1024, 512];
    const { layout } = layoutFor('yuv444p');
    const make = () => createVideoTexture(context, { width, height, layout, colour: COLOUR }, 8);
    const [whole, part] = [make(), make()];
    const [frame, other] = [waves(width, height, 8), new Uint8Array(width * height * 3).fill(70)];
    whole.show(frame);
    const size = { width: 160, height: 90 };
    const views = [
      { projection: 'rectilinear', fov: 70 },
      { projection: 'rectilinear', fov: 20, yaw: 170, pitch: 30 },
      { projection: 'rectilinear', fov: 100, pitch: 75, roll: 20 },
      { projection: 'stereographic', fov: 250, pitch: -90 },
      { projection: 'stereographic', fov: 120, pitch: -60 },
      { projection: 'mirror-ball', fov: 360, yaw: 40 },
      { projection: 'cylindrical', fov: 60, yaw: 100 },
      { projection: 'equirectangular', fov: 90 },
    ];
    let saved = 0;
    for (const [quality, count] of [
      ['final', views.length],
      ['best', 3],
    ] as const) {
      const options = { ...size, background: BLACK, quality };
      const samples = SAMPLING[quality].samples || 16;
      for (const view of views.slice(0, count)) {
        const camera = cameraFor(view, size.width, size.height);
        const need = needOf({ cameras: [camera], ...size, samples }, part.layout);
        if (!isWithin(everything(part.layout), need)) saved++;
        // What is not made anew for this view is another frame's.
        part.show(other);
        part.show(frame, need);
        const found = drawFrame(context, part, camera, options);
        expect(found, `${quality} ${JSON.stringify(view)}`).toEqual(
          drawFrame(context, whole, camera, options),
        );
      }
    }
    expect(saved).toBeGreaterThan(6);
    for (const texture of [whole, part]) texture.destroy();
  });

  it('show the frame that was shown last', () => {
    const [width, height] = [256, 128];
    const { layout } = layoutFor('yuv444p');
    const video = createVideoTexture(context, { width, height, layout, colour: COLOUR }, 8);
    const wanted = createVideoTexture(context, { width, height, layout, colour: COLOUR }, 8);
    wanted.show(waves(width, height, 8));
    video.show(new Uint8Array(width * height * 3).fill(90));
    expect(difference(video, wanted, 255).worst).toBeGreaterThan(50);
    video.show(waves(width, height, 8));
    expect(difference(video, wanted, 255).worst).toBe(0);
    for (const texture of [video, wanted]) texture.destroy();
  });
});

describe('colour conversion', () => {
  it.each([
    // White, black and full red of each system: ITU-R BT.709-6 (3.2, 4.6), BT.601-7 (2.5), BT.2020-2 (tables 4, 5).
    ['bt709', 'limited', 8, [235, 128, 128], [1, 1, 1]],
    ['bt709', 'limited', 10, [250, 409, 960], [1, 0, 0]],
    ['bt601', 'limited', 8, [81, 90, 240], [1, 0, 0]],
    ['bt601', 'full', 8, [76, 85, 255], [1, 0, 0]],
    ['bt2020', 'limited', 10, [294, 387, 960], [1, 0, 0]],
    ['bt2020', 'limited', 12, [256, 2048, 2048], [0, 0, 0]],
  ] as const)('reads %s, %s range, %i bits: %j', (matrix, range, bits, codes, rgb) => {
    const { matrix: m, zero } = conversionOf({ matrix, range }, { bits });
    const shares = codes.map((code, index) => code / (2 ** bits - 1) - zero[index]!);
    for (const [channel, value] of rgb.entries()) {
      const found = shares.reduce((sum, share, index) => sum + share * m[index * 3 + channel]!, 0);
      // Half a code, which the tables are rounded by, in the channel that multiplies it most.
      expect(Math.abs(found - value)).toBeLessThan(bits === 8 ? 0.006 : 0.0025);
    }
  });
});
