import type { DrawCommand, Framebuffer2D } from 'regl';
import type { Camera, Lens } from '../camera/types.js';
import { findLens } from '../projection/index.js';
import type { Background } from '../scene/types.js';
import { assembleFrame } from './assemble.js';
import type { GlContext } from './context.js';
import { COVER } from './cover.js';
import type { MasterTexture } from './masterTexture.js';
import { createPacker, type Packer } from './pack.js';
import { readShader, type ShaderReader } from './shaders.js';

export interface FrameOptions {
  /** Pixels. */
  readonly width: number;
  readonly height: number;
  readonly background: Background;
  /** Rays along each side of a pixel: 1 for drafts, 2 and more for the final. */
  readonly samples: number;
}

/** Draws frames of one size and reads them back. The two kinds of reading show the same pixels. */
export interface FrameRenderer {
  /** Bytes of a frame as straight RGBA, and as planar 4:2:0. */
  readonly rgbaBytes: number;
  readonly yuvBytes: number;
  draw(camera: Camera): void;
  /** The frame drawn last: RGBA, 8 bits, sRGB-encoded, rows from the top. */
  readRgba(into: Uint8Array): void;
  /** The same as planar 4:2:0 Y'CbCr, BT.709, limited range, chroma sited left. Even sizes only. */
  readYuv(into: Uint8Array): void;
  destroy(): void;
}

export function createFrameRenderer(
  context: GlContext,
  master: MasterTexture,
  options: FrameOptions,
  read: ShaderReader = readShader,
): FrameRenderer {
  const { regl } = context;
  const { width, height, background, samples } = options;
  // Linear, since packing takes the mean of neighbours by looking between them.
  const color = regl.texture({ width, height, format: 'rgba', mag: 'linear', min: 'linear' });
  const target = regl.framebuffer({ color, depthStencil: false });
  const commands = new Map<string, DrawCommand>();
  let packer: Packer | undefined;

  const commandFor = (lenses: Camera['lenses']): DrawCommand => {
    const projections = lenses.map((lens) => lens.projection) as [string] | [string, string];
    const key = projections.join(' ');
    const known = commands.get(key);
    if (known !== undefined) return known;
    const { tilesX, tilesY, levels } = master.layout;
    const frag = assembleFrame(
      { projections, samples, background: background.kind, tilesX, tilesY, levels },
      read,
    );
    const command = regl({
      frag,
      vert: read('cover.vert'),
      attributes: { corner: COVER },
      count: 3,
      depth: { enable: false },
      framebuffer: target,
      uniforms: uniformsOf(master, options, projections.length === 2),
    });
    commands.set(key, command);
    return command;
  };

  return {
    rgbaBytes: width * height * 4,
    yuvBytes: (width * height * 3) / 2,
    draw(camera) {
      commandFor(camera.lenses)(propsOf(camera));
    },
    readRgba(into) {
      regl.read({ framebuffer: target, data: into });
    },
    readYuv(into) {
      packer ??= createPacker(context, target as Framebuffer2D, width, height, read);
      packer.read(into);
    },
    destroy() {
      packer?.destroy();
      target.destroy();
      color.destroy();
    },
  };
}

/** The uniforms that stay for a renderer's life, and the names of those that each frame brings. */
function uniformsOf(master: MasterTexture, options: FrameOptions, two: boolean): object {
  const { layout, pages, blurred } = master;
  const { background } = options;
  const prop = (name: string) => (_: unknown, props: Record<string, unknown>) => props[name];
  const colour = background.kind === 'colour' ? background.colour : [0, 0, 0, 255];
  return {
    frameSize: [options.width, options.height],
    background: colour.map((value) => value / 255),
    masterSize: [layout.width, layout.height],
    masterTile: [layout.tile.width, layout.tile.height],
    masterTile1: [layout.tile1.width, layout.tile1.height],
    masterPage: [layout.page.width, layout.page.height],
    ...Object.fromEntries(pages.map((page, index) => [`masterPage${index}`, page])),
    ...(background.kind === 'blur' ? { blurredMaster: blurred() } : {}),
    rotation: prop('rotation'),
    fromHalfExtent: prop('fromHalfExtent'),
    fromParams: prop('fromParams'),
    ...(two
      ? { toHalfExtent: prop('toHalfExtent'), toParams: prop('toParams'), lensMix: prop('lensMix') }
      : {}),
  };
}

function propsOf({ rotation, lenses, mix }: Camera): object {
  const [from, to] = lenses;
  return {
    rotation,
    fromHalfExtent: from.halfExtent,
    fromParams: paramVector(from),
    ...(to === undefined
      ? {}
      : { toHalfExtent: to.halfExtent, toParams: paramVector(to), lensMix: mix }),
  };
}

/** A lens's parameters in the order in which its GLSL function takes them, then zeros. */
function paramVector({ projection, params }: Lens): number[] {
  const values = findLens(projection).params.map(
    ({ name, default: usual }) => params[name] ?? usual,
  );
  return [...values, 0, 0, 0, 0].slice(0, 4);
}
