import { encodeSrgbFast } from '../codes.js';
import { type Depth, newSamples, type Samples } from '../pixels.js';

/** sRGB-encoded code of linear light of any kind: negative and NaN are black, above 1 is white. */
export function codeOfLight(light: number, most: number): number {
  if (!(light > 0)) return 0;
  return light >= 1 ? most : (most * encodeSrgbFast(light) + 0.5) | 0;
}

/** Collects a picture of linear light, channel by channel, as codes. */
export class LightCanvas {
  readonly data: Samples;
  readonly #most: number;

  constructor(pixelCount: number, depth: Depth) {
    this.data = newSamples(depth, pixelCount * 3);
    this.#most = 2 ** depth - 1;
  }

  set(pixel: number, channel: number, light: number): void {
    this.data[pixel * 3 + channel] = codeOfLight(light, this.#most);
  }
}
