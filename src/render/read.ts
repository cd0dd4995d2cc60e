import type { Framebuffer2D } from 'regl';
import type { PixelFormat } from '../encode/types.js';
import type { GlContext } from './context.js';
import { createPacker, type Packer } from './pack.js';
import { readBack } from './readBack.js';
import type { ShaderReader } from './shaders.js';

export interface Reader {
  /** Puts the frame into `into` in that format's layout. */
  read(format: PixelFormat, into: Uint8Array): void;
  destroy(): void;
}

interface Source {
  readonly width: number;
  readonly height: number;
  /** The frame holds floats. */
  readonly deep: boolean;
}

/** Reads a frame buffer back in any of the formats that encoders take. */
export function createReader(
  context: GlContext,
  frame: Framebuffer2D,
  { width, height, deep }: Source,
  readFile: ShaderReader,
): Reader {
  const { regl } = context;
  const packers = new Map<PixelFormat, Packer>();
  let floats: Float32Array | undefined;

  const pack = (format: 'yuv420p' | 'yuv420p10le', into: Uint8Array) => {
    const bits = format === 'yuv420p' ? 8 : 10;
    const packer =
      packers.get(format) ?? createPacker(context, frame, { width, height, bits }, readFile);
    packers.set(format, packer);
    packer.read(into);
  };

  const readRgba = (into: Uint8Array, most: 255 | 65535) => {
    const words =
      most === 255 ? into : new Uint16Array(into.buffer, into.byteOffset, into.length / 2);
    if (deep) {
      floats ??= new Float32Array(width * height * 4);
      readBack(regl, frame, { width, height }, floats);
      for (let i = 0; i < floats.length; i++) words[i] = Math.round(most * floats[i]!);
      return;
    }
    const bytes = most === 255 ? into : new Uint8Array(width * height * 4);
    readBack(regl, frame, { width, height }, bytes);
    if (bytes !== into) for (let i = 0; i < bytes.length; i++) words[i] = bytes[i]! * 257;
  };

  return {
    read(format, into) {
      if (format === 'rgba') readRgba(into, 255);
      else if (format === 'rgba64le') readRgba(into, 65535);
      else pack(format, into);
    },
    destroy() {
      for (const packer of packers.values()) packer.destroy();
    },
  };
}
