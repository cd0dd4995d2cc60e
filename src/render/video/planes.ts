import { type Plane, type PlaneLayout, planesOf } from '../../master/video/layout.js';
import type { VideoColour } from '../../master/video/types.js';
import type { Size } from '../atlas.js';
import type { GlContext } from '../context.js';
import { BT2020_TO_BT709, conversionOf } from './matrix.js';

/** A decoded frame on the GPU, as its planes. */
export interface PlaneTextures {
  /** For shaders/video/planes.glsl. */
  readonly defines: readonly string[];
  readonly uniforms: object;
  upload(frame: Uint8Array): void;
  destroy(): void;
}

export function createPlanes(
  { regl }: GlContext,
  layout: PlaneLayout,
  colour: VideoColour,
  { width, height }: Size,
): PlaneTextures {
  const planes = planesOf(layout, width, height);
  const [, chroma] = planes;
  const isDeep = layout.bits > 8;
  const sample = isDeep ? 2 : 1;
  const format = isDeep ? 'luminance alpha' : 'luminance';
  const texture = (plane: Plane, more: number) => {
    const filter = isDeep || more === 0 ? 'nearest' : 'linear';
    const size = { width: plane.width + more, height: plane.height };
    return regl.texture({ ...size, format, mag: filter, min: filter });
  };
  const textures = [texture(planes[0], 0), texture(planes[1], 2), texture(planes[2], 2)] as const;
  const put = (index: number, x: number, size: Size, data: Uint8Array) =>
    // The types know only whole pictures here.
    textures[index]!.subimage({ ...size, data, format } as never, x, 0);
  /** Chroma is looked up between texels, so its seam must be closed. */
  const column = new Uint8Array(chroma.height * sample);
  const putColumn = (index: number, data: Uint8Array, from: number, x: number) => {
    const stride = chroma.width * sample;
    for (let row = 0; row < chroma.height; row++) {
      const at = row * stride + from * sample;
      column[row * sample] = data[at]!;
      if (isDeep) column[row * sample + 1] = data[at + 1]!;
    }
    put(index, x, { width: 1, height: chroma.height }, column);
  };

  const { matrix, zero } = conversionOf(colour, layout);
  const scale = [1 / layout.across, 1 / layout.down] as const;
  const site = [layout.across > 1 ? colour.site[0] : 0, layout.down > 1 ? colour.site[1] : 0];
  return {
    defines: [
      ...(isDeep ? [`#define DEEP ${2 ** layout.bits - 1}.0`] : []),
      ...(colour.primaries === 'bt2020' ? ['#define GAMUT'] : []),
    ],
    uniforms: {
      lumaPlane: textures[0],
      bluePlane: textures[1],
      redPlane: textures[2],
      lumaSize: [width, height],
      chromaSize: [chroma.width, chroma.height],
      chromaScale: scale,
      // The first chroma texel's centre, 0.5, lies at the luma place 0.5 + site.
      chromaShift: scale.map((share, side) => 0.5 - (0.5 + site[side]!) * share),
      videoMatrix: matrix,
      videoZero: zero,
      ...(colour.primaries === 'bt2020' ? { videoGamut: BT2020_TO_BT709 } : {}),
    },
    upload(frame) {
      for (const [index, plane] of planes.entries()) {
        const data = frame.subarray(plane.offset, plane.offset + plane.bytes);
        put(index, index === 0 ? 0 : 1, plane, data);
        if (index === 0) continue;
        putColumn(index, data, plane.width - 1, 0);
        putColumn(index, data, 0, plane.width + 1);
      }
    },
    destroy() {
      for (const each of textures) each.destroy();
    },
  };
}
