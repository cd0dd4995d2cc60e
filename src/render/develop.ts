import type { DrawCommand, Framebuffer, Framebuffer2D, Texture2D } from 'regl';
import { assembleDevelop } from './assemble.js';
import type { GlContext } from './context.js';
import { COVER } from './cover.js';
import type { ShaderReader } from './shaders.js';

export interface DevelopOptions {
  readonly width: number;
  readonly height: number;
  /** The target holds floats: nothing to dither for. */
  readonly deep: boolean;
}

/** Adds up the light of several exposures, in floats, and turns the sum into a frame. */
export interface Developer {
  /** Begins a frame: no light yet. */
  clear(): void;
  /** Calls `draw` for one exposure: it puts what `earlier` holds, plus its own light, into `target`. */
  expose(draw: (target: Framebuffer, earlier: Framebuffer) => void): void;
  /** Puts the frame of all light since `clear` into `target`, sharpened by 0 to 1. */
  develop(target: Framebuffer, sharpness: number): void;
  destroy(): void;
}

/** What changes from frame to frame. */
interface Pass {
  readonly target: Framebuffer;
  readonly sharpness: number;
}

export function createDeveloper(
  { regl }: GlContext,
  { width, height, deep }: DevelopOptions,
  ditherMask: () => Texture2D,
  read: ShaderReader,
): Developer {
  // Made at the first use: most frames need no light of their own. Two take turns, since WebGL 1 cannot
  // be relied on to blend floats.
  let lights: Framebuffer2D[] | undefined;
  const buffers = (): Framebuffer2D[] => {
    lights ??= [0, 1].map(() =>
      regl.framebuffer({ width, height, colorType: 'float', depthStencil: false }),
    );
    return lights;
  };
  // Linked at the first use, for the same reason.
  let pass: DrawCommand | undefined;
  const linked = () =>
    regl({
      frag: assembleDevelop(!deep, read),
      vert: read('cover.vert'),
      attributes: { corner: COVER },
      count: 3,
      depth: { enable: false },
      framebuffer: (_: unknown, { target }: Pass) => target,
      uniforms: {
        light: () => buffers()[0],
        frameSize: [width, height],
        sharpness: (_: unknown, { sharpness }: Pass) => sharpness,
        ...(deep ? {} : { ditherMask: ditherMask() }),
      },
    });
  return {
    clear() {
      regl.clear({ framebuffer: buffers()[0]!, color: [0, 0, 0, 0] });
    },
    expose(draw) {
      const [earlier, target] = buffers() as [Framebuffer2D, Framebuffer2D];
      draw(target, earlier);
      buffers().reverse();
    },
    develop(target, sharpness) {
      pass ??= linked();
      pass({ target, sharpness });
    },
    destroy() {
      for (const light of lights ?? []) light.destroy();
    },
  };
}
