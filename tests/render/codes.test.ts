import { afterAll, beforeAll, expect, it } from 'vitest';
import { type GlContext, openContext } from '../../src/render/context.js';
import { DITHER_SIDE } from '../../src/render/dither.js';
import { as, BLACK, drawFrame, upload, WAYS } from '../support/gpu.js';
import { cameraFor } from '../support/scenes.js';

let context: GlContext;
beforeAll(async () => {
  context = await openContext();
});
afterAll(() => context.close());

// Decoded, averaged, encoded and dithered; the frame is as large as the dither's mask, so each threshold has its pixel.
it.each(
  (['final', 'best'] as const).flatMap((quality) => WAYS.map((way) => [quality, way] as const)),
)('brings every plain colour out as it went in (%s, %s)', (quality, way) => {
  const camera = cameraFor({ projection: 'rectilinear', fov: 90 }, DITHER_SIDE, DITHER_SIDE);
  const size = { width: DITHER_SIDE, height: DITHER_SIDE };
  for (let code = 0; code < 256; code++) {
    const colour = [code, 255 - code, (code * 7) % 256];
    const data = Uint8Array.from({ length: 64 * 32 * 3 }, (_, i) => colour[i % 3]!);
    const texture = upload(context, { width: 64, height: 32, depth: 8, data });
    const options = { ...size, background: BLACK, quality };
    const rgba = drawFrame(as(way, context), texture, camera, options);
    texture.destroy();
    const shown = new Set(
      Array.from({ length: rgba.length / 4 }, (_, i) => rgba.slice(4 * i, 4 * i + 3).join()),
    );
    expect([...shown], `code ${code}`).toEqual([colour.join()]);
  }
});
