import type { Texture2D } from 'regl';
import type { GlContext } from '../../src/render/context.js';

/** What a page holds, as RGBA bytes, whatever its format. */
export function readPage({ gl, regl }: GlContext, color: Texture2D): Uint8Array {
  const { width, height } = color;
  const rgba = new Uint8Array(width * height * 4);
  const framebuffer = regl.framebuffer({ color, depthStencil: false });
  // regl's own reading refuses all formats but the usual ones.
  const { _framebuffer } = framebuffer as never as {
    _framebuffer: { framebuffer: WebGLFramebuffer };
  };
  gl.bindFramebuffer(gl.FRAMEBUFFER, _framebuffer.framebuffer);
  gl.readPixels(0, 0, width, height, gl.RGBA, gl.UNSIGNED_BYTE, rgba);
  regl._refresh();
  framebuffer.destroy();
  return rgba;
}

/** Codes of 16 bits out of two pages' bytes, RGBA each, as src/render/deep.ts lays them out; `at` is a texel's first. */
export function deepCode(high: Uint8Array, low: Uint8Array, at: number, channel: number): number {
  const bits = [31, 63, 31].map((most, c) => Math.round((low[at + c]! * most) / 255));
  const word = bits[0]! * 2048 + bits[1]! * 32 + bits[2]!;
  const bytes = [high[at + 3]!, Math.floor(word / 256), word % 256];
  return high[at + channel]! * 256 + bytes[channel]!;
}
