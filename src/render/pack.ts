import type { Framebuffer2D } from 'regl';
import type { GlContext } from './context.js';
import { COVER } from './cover.js';
import { readBack } from './readBack.js';
import type { ShaderReader } from './shaders.js';

/** Turns a drawn frame into planar 4:2:0 on the GPU, so that reading it back moves 1.5 samples a pixel. */
export interface Packer {
  /** Packs the frame as it is now; `into` takes width * height * 3 / 2 samples: Y', Cb, Cr. */
  read(into: Uint8Array): void;
  destroy(): void;
}

export interface PackOptions {
  /** Even. */
  readonly width: number;
  readonly height: number;
  /** Bits a sample: 8 in a byte each, 10 in a 16-bit little-endian word each. */
  readonly bits: 8 | 10;
}

/** Luma columns that the packing shader turns into one texel of chroma. */
const COLUMN_UNIT = 8;

export function createPacker(
  { regl, info }: GlContext,
  frame: Framebuffer2D,
  { width, height, bits }: PackOptions,
  read: ShaderReader,
): Packer {
  const padded = Math.ceil(width / COLUMN_UNIT) * COLUMN_UNIT;
  const sampleBytes = bits === 8 ? 1 : 2;
  const across = (padded * sampleBytes) / 4;
  const target = regl.framebuffer({
    width: across,
    height: (height * 3) / 2,
    colorType: 'uint8',
    depthStencil: false,
  });
  const packRows = (luma: boolean, y: number, count: number) =>
    regl({
      frag: [
        'precision highp float;',
        `#define BITS ${bits}`,
        ...(luma ? ['#define LUMA_ROWS'] : []),
        ...(info.software ? [] : ['#define MIXED_LOOKUPS']),
        read('pack420.frag'),
      ].join('\n'),
      vert: read('cover.vert'),
      attributes: { corner: COVER },
      count: 3,
      depth: { enable: false },
      scissor: { enable: true, box: { x: 0, y, width: across, height: count } },
      framebuffer: target,
      uniforms: { frame, frameSize: [padded, height], sourceSize: [width, height] },
    });
  const draws = [packRows(true, 0, height), packRows(false, height, height / 2)];
  const rows =
    padded === width ? undefined : new Uint8Array((padded * height * 3 * sampleBytes) / 2);
  return {
    read(into) {
      for (const draw of draws) draw();
      readBack(regl, target, { width: across, height: (height * 3) / 2 }, rows ?? into);
      if (rows === undefined) return;
      crop(rows, padded * sampleBytes, into, width * sampleBytes, height);
    },
    destroy: () => target.destroy(),
  };
}

/** Leaves out the columns that only fill up the shader's unit; widths in bytes. */
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
