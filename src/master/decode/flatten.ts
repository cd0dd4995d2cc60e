import { decodeSrgb } from '../../colour.js';
import { encodeSrgbFast, lightOf } from '../codes.js';
import type { Samples } from '../pixels.js';
import type { Rgb } from './types.js';

/**
 * Lays RGBA (alpha not multiplied in) over a plain background, in linear light and in place: the RGB
 * result lies at the start of the same memory.
 */
export function flatten<T extends Samples>(rgba: T, background: Rgb): T {
  const most = rgba instanceof Uint16Array ? 65535 : 255;
  const { ofCode, white } = lightOf(most === 255 ? 8 : 16);
  const codes = background.map((value) => Math.round((value / 255) * most));
  const behind = background.map((value) => decodeSrgb(value / 255));
  let out = 0;
  for (let at = 0; at < rgba.length; at += 4) {
    const alpha = rgba[at + 3]!;
    for (let c = 0; c < 3; c++) {
      const code = rgba[at + c]!;
      if (alpha === most) rgba[out++] = code;
      else if (alpha === 0) rgba[out++] = codes[c]!;
      else {
        const share = alpha / most;
        const light = (share * ofCode[code]!) / white + (1 - share) * behind[c]!;
        rgba[out++] = most * encodeSrgbFast(light) + 0.5;
      }
    }
  }
  return rgba.subarray(0, out) as T;
}
