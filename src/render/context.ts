import { createRequire } from 'node:module';
import createREGL, { type Regl } from 'regl';
import { WorkError } from '../errors.js';
import { type BackendKind, beginBackend } from './backend.js';

export interface GlInfo {
  readonly backend: BackendKind;
  /** The driver's own name: `ANGLE (Mesa/X.org, llvmpipe (LLVM 15.0.6 256 bits), OpenGL 4.5)`. */
  readonly renderer: string;
  readonly vendor: string;
  /** Whether the processor does the drawing, without a graphics card. */
  readonly software: boolean;
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
  const backend = await beginBackend();
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
  backend.keep();
  const regl = createREGL({ gl, extensions: EXTENSIONS, attributes: { antialias: false } });
  return { gl, regl, info: describe(gl, backend.kind), close: () => regl.destroy() };
}

const SOFTWARE = /llvmpipe|lavapipe|softpipe|swiftshader/iu;

/** npm's `gl` answers with names of its own; its inner call asks the driver. */
interface HeadlessGl extends WebGLRenderingContext {
  _getParameterDirect?(name: number): unknown;
}

function describe(gl: HeadlessGl, backend: BackendKind): GlInfo {
  const ask = (name: number) => String(gl._getParameterDirect?.(name) ?? gl.getParameter(name));
  return {
    backend,
    renderer: ask(gl.RENDERER),
    software: SOFTWARE.test(ask(gl.RENDERER)),
    vendor: ask(gl.VENDOR),
    maxTextureSize: Number(gl.getParameter(gl.MAX_TEXTURE_SIZE)),
    maxTextureUnits: Number(gl.getParameter(gl.MAX_TEXTURE_IMAGE_UNITS)),
  };
}
