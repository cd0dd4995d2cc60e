import type { Camera } from '../../src/camera/types.js';
import type { Pixels } from '../../src/master/pixels.js';
import type { GlContext } from '../../src/render/context.js';
import {
  createFrameRenderer,
  type FrameOptions,
  type FrameRenderer,
} from '../../src/render/frame.js';
import { type MasterTexture, uploadMaster } from '../../src/render/masterTexture.js';
import { readShader, type ShaderReader } from '../../src/render/shaders.js';

export const BLACK = { kind: 'colour', colour: [0, 0, 0, 255] } as const;

/** Kept for its name: `upload` reads better in tests. */
export function upload(context: GlContext, master: Pixels): MasterTexture {
  return uploadMaster(context, master);
}

/** The same context, drawing as it would on a graphics card or in software, whatever it is. */
export function as(kind: 'graphics card' | 'software', context: GlContext): GlContext {
  return { ...context, info: { ...context.info, software: kind === 'software' } };
}

/** Both ways of drawing a frame. */
export const WAYS = ['software', 'graphics card'] as const;

/** One frame as RGBA. */
export function drawFrame(
  context: GlContext,
  master: MasterTexture,
  camera: Camera,
  options: FrameOptions,
  read?: ShaderReader,
): Uint8Array {
  const work = (renderer: FrameRenderer) => {
    const rgba = new Uint8Array(options.width * options.height * 4);
    renderer.draw([camera]);
    renderer.read('rgba', rgba);
    return rgba;
  };
  return withRenderer(context, master, options, work, read);
}

/** The same with every ray finding its place on the master by itself. */
export function drawAlone(
  context: GlContext,
  master: MasterTexture,
  camera: Camera,
  options: FrameOptions,
): Uint8Array {
  const read: ShaderReader = (name) => readShader(name).replaceAll('#ifdef STEPPED', '#if 0');
  return drawFrame(as('graphics card', context), master, camera, options, read);
}

export function withRenderer<T>(
  context: GlContext,
  master: MasterTexture,
  options: FrameOptions,
  work: (renderer: FrameRenderer) => T,
  read?: ShaderReader,
): T {
  const renderer = createFrameRenderer(context, master, options, read);
  try {
    return work(renderer);
  } finally {
    renderer.destroy();
  }
}
