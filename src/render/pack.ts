import type { Framebuffer2D } from 'regl';
import type { GlContext } from './context.js';
import { COVER } from './cover.js';
import type { ShaderReader } from './shaders.js';

/** Turns a drawn frame into planar 4:2:0 on the GPU, so that reading it back moves 1.5 bytes a pixel. */
export interface Packer {
  /** Packs the frame as it is now; `into` takes width * height * 3 / 2 bytes: Y, Cb, Cr. */
  read(into: Uint8Array): void;
  destroy(): void;
}

/** Luma columns that the packing shader turns into one texel of chroma. */
const COLUMN_UNIT = 8;

export function createPacker(
  { regl }: GlContext,
  frame: Framebuffer2D,
  width: number,
  height: number,
  read: ShaderReader,
): Packer {
  const padded = Math.ceil(width / COLUMN_UNIT) * COLUMN_UNIT;
  const target = regl.framebuffer({
    width: padded / 4,
    height: (height * 3) / 2,
    colorType: 'uint8',
    depthStencil: false,
  });
  const pack = regl({
    frag: `precision highp float;\n${read('pack420.frag')}`,
    vert: read('cover.vert'),
    attributes: { corner: COVER },
    count: 3,
    depth: { enable: false },
    framebuffer: target,
    uniforms: { frame, frameSize: [padded, height], sourceSize: [width, height] },
  });
  const rows = padded === width ? undefined : new Uint8Array((padded * height * 3) / 2);
  return {
    read(into) {
      pack();
      regl.read({ framebuffer: target, data: rows ?? into });
      if (rows !== undefined) crop(rows, padded, into, width, height);
    },
    destroy: () => target.destroy(),
  };
}

/** Leaves out the columns that only fill up the shader's unit. */
function crop(
  rows: Uint8Array,
  padded: number,
  into: Uint8Array,
  width: number,
  height: number,
): void {
  let out = 0;
  const take = (start: number, count: number, length: number, stride: number) => {
    for (let row = 0; row < count; row++, out += length) {
      const from = start + row * stride;
      into.set(rows.subarray(from, from + length), out);
    }
  };
  take(0, height, width, padded);
  take(padded * height, height, width / 2, padded / 2);
}
