import type { Camera } from '../../src/camera/types.js';
import type { Pixels } from '../../src/master/pixels.js';
import type { GlContext } from '../../src/render/context.js';
import {
  createFrameRenderer,
  type FrameOptions,
  type FrameRenderer,
} from '../../src/render/frame.js';
import { type MasterTexture, uploadMaster } from '../../src/render/masterTexture.js';

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
): Uint8Array {
  return withRenderer(context, master, options, (renderer) => {
    const rgba = new Uint8Array(options.width * options.height * 4);
    renderer.draw([camera]);
    renderer.read('rgba', rgba);
    return rgba;
  });
}

export function withRenderer<T>(
  context: GlContext,
  master: MasterTexture,
  options: FrameOptions,
  work: (renderer: FrameRenderer) => T,
): T {
  const renderer = createFrameRenderer(context, master, options);
  try {
    return work(renderer);
  } finally {
    renderer.destroy();
  }
}
