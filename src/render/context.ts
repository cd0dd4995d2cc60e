import { createRequire } from 'node:module';
import createREGL, { type Regl } from 'regl';
import { WorkError } from '../errors.js';
import { type BackendKind, prepareBackend } from './backend.js';

export interface GlInfo {
  readonly backend: BackendKind;
  /** The driver's own name: `llvmpipe (LLVM 15.0.6, 256 bits)`. */
  readonly renderer: string;
  readonly vendor: string;
  /** Largest texture side, in texels. */
  readonly maxTextureSize: number;
  /** How many textures one draw can read. */
  readonly maxTextureUnits: number;
}

export interface GlContext {
  readonly gl: WebGLRenderingContext;
  readonly regl: Regl;
  readonly info: GlInfo;
  close(): void;
}

const EXTENSIONS = ['OES_texture_float', 'OES_texture_float_linear', 'OES_standard_derivatives'];

/**
 * Opens a WebGL 1 context without a window, on whatever draws here: a Vulkan GPU, a running X display,
 * or an X server of its own. Close it when done; process exit closes it in any case.
 *
 * @throws WorkError when no context can be had; the message says what to install.
 */
export async function openContext(): Promise<GlContext> {
  const backend = await prepareBackend();
  // The addon reads DISPLAY and ANGLE_DEFAULT_PLATFORM when it loads, so it must not be imported before.
  const createGL = createRequire(import.meta.url)('gl') as (
    width: number,
    height: number,
    options: object,
  ) => WebGLRenderingContext | null;
  const gl = createGL(1, 1, { antialias: false, depth: false, stencil: false });
  if (gl === null) {
    backend.release();
    throw new WorkError(
      'No WebGL context could be opened. `orbreel doctor` says what is missing on this machine.',
    );
  }
  const regl = createREGL({ gl, extensions: EXTENSIONS, attributes: { antialias: false } });
  return { gl, regl, info: describe(gl, backend.kind), close: () => regl.destroy() };
}

function describe(gl: WebGLRenderingContext, backend: BackendKind): GlInfo {
  const names = gl.getExtension('WEBGL_debug_renderer_info');
  return {
    backend,
    renderer: String(gl.getParameter(names?.UNMASKED_RENDERER_WEBGL ?? gl.RENDERER)),
    vendor: String(gl.getParameter(names?.UNMASKED_VENDOR_WEBGL ?? gl.VENDOR)),
    maxTextureSize: Number(gl.getParameter(gl.MAX_TEXTURE_SIZE)),
    maxTextureUnits: Number(gl.getParameter(gl.MAX_TEXTURE_IMAGE_UNITS)),
  };
}
