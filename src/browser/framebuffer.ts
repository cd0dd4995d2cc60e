import { createTexture, type PageTexture } from './texture.js';

/** What a command can draw into; read as a texture it gives what was drawn. */
export interface DrawTarget {
  readonly framebuffer: WebGLFramebuffer;
  readonly texture: WebGLTexture;
  readonly width: number;
  readonly height: number;
  destroy(): void;
}

interface TargetOptions {
  /** A texture of its own otherwise, of `width`, `height` and `colorType`. */
  readonly color?: PageTexture;
  readonly width?: number;
  readonly height?: number;
  readonly colorType?: 'float';
}

export function createFramebuffer(gl: WebGLRenderingContext, options: object): DrawTarget {
  const { color, colorType = 'uint8', ...given } = options as TargetOptions;
  const own = color ?? createTexture(gl, { ...given, format: 'rgba', type: colorType });
  const framebuffer = gl.createFramebuffer();
  gl.bindFramebuffer(gl.FRAMEBUFFER, framebuffer);
  const place = gl.COLOR_ATTACHMENT0;
  gl.framebufferTexture2D(gl.FRAMEBUFFER, place, gl.TEXTURE_2D, own.texture, 0);
  return {
    framebuffer,
    texture: own.texture,
    width: given.width ?? own.sides()[0],
    height: given.height ?? own.sides()[1],
    destroy() {
      gl.deleteFramebuffer(framebuffer);
      if (color === undefined) own.destroy();
    },
  };
}
