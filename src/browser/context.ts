import { WorkError } from '../errors.js';
import type { GlContext } from '../render/context.js';
import { createCommands } from './commands.js';

/** For light that is added up. */
const OPTIONAL = ['OES_texture_float', 'OES_texture_float_linear', 'WEBGL_color_buffer_float'];

const SOFTWARE = /llvmpipe|lavapipe|softpipe|swiftshader|basic render/iu;

/** The browser's WebGL on a canvas, as the renderer takes it. @throws WorkError where there is none */
export function openCanvas(canvas: HTMLCanvasElement): GlContext {
  const gl = canvas.getContext('webgl', {
    alpha: true,
    antialias: false,
    depth: false,
    stencil: false,
    premultipliedAlpha: false,
    preserveDrawingBuffer: true,
    powerPreference: 'high-performance',
  });
  if (gl === null) {
    throw new WorkError('This browser offers no WebGL here, which the picture is drawn with.');
  }
  if (gl.getExtension('OES_standard_derivatives') === null) {
    throw new WorkError(
      "This browser's WebGL lacks OES_standard_derivatives, which the picture needs.",
    );
  }
  for (const name of OPTIONAL) gl.getExtension(name);
  const regl = createCommands(gl);
  const names = gl.getExtension('WEBGL_debug_renderer_info');
  const renderer = String(gl.getParameter(names?.UNMASKED_RENDERER_WEBGL ?? gl.RENDERER));
  return {
    gl,
    regl,
    info: {
      backend: 'native',
      renderer,
      vendor: String(gl.getParameter(names?.UNMASKED_VENDOR_WEBGL ?? gl.VENDOR)),
      software: SOFTWARE.test(renderer),
      maxTextureSize: Number(gl.getParameter(gl.MAX_TEXTURE_SIZE)),
      maxTextureUnits: Number(gl.getParameter(gl.MAX_TEXTURE_IMAGE_UNITS)),
    },
    close: () => regl.destroy(),
  };
}

/** Whether light can be added up in floats, for motion blur and sharpening. */
export const addsUpLight = ({ gl, regl }: GlContext): boolean =>
  regl.hasExtension('OES_texture_float') &&
  (regl.hasExtension('WEBGL_color_buffer_float') || canDrawFloats(gl));

/** Many drivers draw into float textures without saying so. */
function canDrawFloats(gl: WebGLRenderingContext): boolean {
  const [texture, target] = [gl.createTexture(), gl.createFramebuffer()];
  gl.bindTexture(gl.TEXTURE_2D, texture);
  gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, 1, 1, 0, gl.RGBA, gl.FLOAT, null);
  gl.bindFramebuffer(gl.FRAMEBUFFER, target);
  gl.framebufferTexture2D(gl.FRAMEBUFFER, gl.COLOR_ATTACHMENT0, gl.TEXTURE_2D, texture, 0);
  const can = gl.checkFramebufferStatus(gl.FRAMEBUFFER) === gl.FRAMEBUFFER_COMPLETE;
  gl.bindFramebuffer(gl.FRAMEBUFFER, null);
  gl.deleteFramebuffer(target);
  gl.deleteTexture(texture);
  return can;
}
