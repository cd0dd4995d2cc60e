import type { DrawCommand, Framebuffer, Texture2D } from 'regl';
import type { Size } from '../atlas.js';
import type { GlContext } from '../context.js';
import { COVER } from '../cover.js';
import type { ShaderReader } from '../shaders.js';
import type { PlaneTextures } from './planes.js';

/** Linear light of some rows of the sphere, as floats. */
export interface LightTexture extends Size {
  readonly color: Texture2D;
  readonly target: Framebuffer;
  /** Holds encoded colour in 8 bits instead, for a quarter of the memory. */
  readonly encoded: boolean;
  destroy(): void;
}

export function lightTexture(
  { regl }: GlContext,
  { width, height }: Size,
  encoded = false,
): LightTexture {
  const color = regl.texture({
    ...{ width, height, format: 'rgba', type: encoded ? 'uint8' : 'float' },
    ...{ mag: 'nearest', min: 'nearest' },
  });
  const target = regl.framebuffer({ color, depthStencil: false });
  return {
    ...{ width, height, color, target, encoded },
    destroy() {
      target.destroy();
      color.destroy();
    },
  };
}

export interface Box extends Size {
  readonly x: number;
  readonly y: number;
}

export interface Pass {
  /** Of shaders/video, without its ending. */
  readonly shader: 'reduce' | 'poles' | 'halve' | 'page';
  readonly defines: readonly string[];
  /** The decoded frame, or what was made of it. */
  readonly source: LightTexture | 'planes';
  readonly uniforms: Readonly<Record<string, number | readonly number[]>>;
  readonly target: Framebuffer;
  readonly box: Box;
}

/** Draws passes; each kind of program is linked when it is first needed. */
export function createPasses(
  { regl }: GlContext,
  planes: PlaneTextures,
  read: ShaderReader,
): (pass: Pass) => void {
  const commands = new Map<string, DrawCommand>();
  const prop = (name: string) => (_: unknown, props: Record<string, unknown>) =>
    props[name] as never;

  const link = ({ shader, defines, source, uniforms }: Pass): DrawCommand => {
    const fromPlanes = source === 'planes';
    const files = [
      'common/light.glsl',
      ...(shader === 'page' ? ['common/deep.glsl'] : []),
      ...(fromPlanes ? ['video/planes.glsl'] : []),
      'video/source.glsl',
      `video/${shader}.frag`,
    ];
    return regl({
      frag: [
        'precision highp float;\nprecision highp sampler2D;',
        ...(fromPlanes ? ['#define FROM_PLANES', ...planes.defines] : []),
        ...(!fromPlanes && source.encoded ? ['#define ENCODED'] : []),
        ...defines,
        ...files.map((name) => `// ${name}\n#line 1\n${read(name)}`),
      ].join('\n'),
      vert: read('cover.vert'),
      attributes: { corner: COVER },
      count: 3,
      depth: { enable: false },
      scissor: { enable: true, box: prop('box') },
      framebuffer: prop('target'),
      uniforms: {
        ...(fromPlanes
          ? planes.uniforms
          : { sourceTexture: prop('sourceTexture'), sourceTextureSize: prop('sourceTextureSize') }),
        ...Object.fromEntries(Object.keys(uniforms).map((name) => [name, prop(name)])),
      },
    });
  };

  return (pass) => {
    const { shader, defines, source, uniforms, target, box } = pass;
    const kind = source === 'planes' ? source : source.encoded;
    const key = [shader, kind, ...defines].join(' ');
    const command = commands.get(key) ?? link(pass);
    commands.set(key, command);
    const from =
      source === 'planes'
        ? {}
        : { sourceTexture: source.color, sourceTextureSize: [source.width, source.height] };
    command({ ...uniforms, ...from, target, box });
  };
}
