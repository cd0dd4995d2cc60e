import type { GlContext } from '../../src/render/context.js';
import { readShader } from '../../src/render/shaders.js';

export type Four = [number, number, number, number];

/** So many vectors squared fit one run. */
export const SIDE = 65;

/**
 * Runs `vec4 answer(vec4 a, vec4 b)` on every pair of vectors, in single precision; `functions` may ask
 * for `uniform vec4 params` and other uniforms.
 */
export function answersOf(
  { regl }: GlContext,
  functions: string,
  first: readonly Four[],
  second: readonly Four[],
  uniforms: Readonly<Record<string, number | number[]>> = {},
): Four[] {
  const texture = (vectors: readonly Four[]) => {
    const data = new Float32Array(SIDE * SIDE * 4);
    data.set(vectors.flat());
    return regl.texture({ width: SIDE, height: SIDE, data, type: 'float', format: 'rgba' });
  };
  const [a, b] = [texture(first), texture(second)];
  const framebuffer = regl.framebuffer({
    width: SIDE,
    height: SIDE,
    colorType: 'float',
    colorFormat: 'rgba',
    depthStencil: false,
  });
  const draw = regl({
    vert: 'attribute vec2 corner; void main() { gl_Position = vec4(corner, 0.0, 1.0); }',
    frag: `
      precision highp float;
      uniform sampler2D first, second;
      uniform vec4 params;
      ${readShader('common/angle.glsl')}
      ${readShader('common/lens.glsl')}
      ${functions}
      void main() {
        vec2 at = gl_FragCoord.xy / ${SIDE}.0;
        gl_FragColor = answer(texture2D(first, at), texture2D(second, at));
      }`,
    attributes: { corner: [-1, -1, 3, -1, -1, 3] },
    uniforms: { params: [0, 0, 0, 0], ...uniforms, first: a, second: b },
    count: 3,
    framebuffer,
  });
  draw();
  const out = regl.read({ framebuffer }) as Float32Array;
  for (const thing of [a, b, framebuffer]) thing.destroy();
  return Array.from({ length: first.length }, (_, index) => [
    ...out.subarray(4 * index, 4 * index + 4),
  ]) as Four[];
}
