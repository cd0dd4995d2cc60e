import { expect, it } from 'vitest';
import { openContext } from '../../src/render/context.js';
import { readBack } from '../../src/render/readBack.js';

it('reads a buffer of many bands row by row', async () => {
  const context = await openContext();
  const [width, height] = [1500, 1001];
  const data = Uint8Array.from({ length: width * height * 4 }, (_, i) => (i * 7 + (i >> 9)) & 255);
  const color = context.regl.texture({ width, height, data });
  const framebuffer = context.regl.framebuffer({ color, depthStencil: false });
  const rows = new Uint8Array(data.length);
  readBack(context.regl, framebuffer, { width, height }, rows);
  context.close();
  expect(Buffer.compare(rows, data)).toBe(0);
});
