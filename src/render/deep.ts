import type { TextureFormatType } from 'regl';
import type { Depth } from '../master/pixels.js';

/**
 * How texels of 16 bits a channel lie on textures, in six bytes: the high bytes and red's low one as RGBA,
 * green's and blue's low ones as the 16 bits of RGB565. shaders/common/deep.glsl does the same sums.
 * Neither is to be filtered: bytes must not be mixed apart from each other.
 */
export const DEEP_FORMATS = { high: 'rgba', low: 'rgb565' } as const satisfies Record<
  string,
  TextureFormatType
>;

/** What a page of `depth` bits, or of the high bytes of 16, is made as. */
export const highPage = (depth: Depth) =>
  depth === 16
    ? ({ format: DEEP_FORMATS.high, mag: 'nearest', min: 'nearest' } as const)
    : ({ format: 'rgb', mag: 'linear', min: 'linear' } as const);

export const LOW_PAGE = { format: DEEP_FORMATS.low, mag: 'nearest', min: 'nearest' } as const;

/** Packs RGB codes into both, from the texel `at` on. @param high takes RGBA, the first byte lowest */
export function packDeep(
  codes: Uint16Array,
  high: Uint32Array,
  low: Uint16Array,
  at: number,
): void {
  for (let i = 0, texel = at; i < codes.length; i += 3, texel++) {
    const red = codes[i]!;
    const green = codes[i + 1]!;
    const blue = codes[i + 2]!;
    high[texel] = (red >> 8) | (green & 0xff00) | ((blue & 0xff00) << 8) | (red << 24);
    low[texel] = ((green & 0xff) << 8) | (blue & 0xff);
  }
}
