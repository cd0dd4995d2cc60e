import { describe, didYouMean } from './words.js';

export interface Shape {
  /** The shape's name, or `WxH`. */
  readonly name: string;
  readonly width: number;
  readonly height: number;
}

export interface NamedShape extends Shape {
  readonly about: string;
}

/** Frame sizes by name, in pixels. Common practice, no source. */
export const shapes: readonly NamedShape[] = [
  { name: 'vertical', width: 1080, height: 1920, about: '9:16, full-screen on a phone' },
  { name: 'portrait', width: 1080, height: 1350, about: '4:5, the tallest that feeds show whole' },
  { name: 'square', width: 1080, height: 1080, about: '1:1' },
  { name: 'landscape', width: 1920, height: 1080, about: '16:9, full HD' },
  { name: 'uhd', width: 3840, height: 2160, about: '16:9, ultra HD' },
  { name: 'sphere', width: 3840, height: 1920, about: '2:1, the whole sphere in 4K, re-oriented' },
  { name: 'sphere-5.7k', width: 5760, height: 2880, about: '2:1, the whole sphere in 5.7K' },
  { name: 'sphere-8k', width: 7680, height: 3840, about: '2:1, the whole sphere in 8K' },
];

export const shapeNames: readonly string[] = shapes.map((shape) => shape.name);

/** Whether outputs of the shape of that name are equirectangular with 360 degrees across. */
export const isSphere = (name: string): boolean => /^sphere(-|$)/u.test(name);

export const SMALLEST_SIDE = 16;
export const LARGEST_SIDE = 8192;

/** What a shape may be, for messages. */
export const shapeTakes = `takes ${shapeNames.join(', ')} or a size such as 1080x1920`;

/**
 * A shape's name or `WxH` (even whole pixels, each side 16 to 8192).
 * A text that is neither yields one sentence that says why.
 */
export function parseShape(text: string): Shape | { readonly problem: string } {
  const named = shapes.find((shape) => shape.name === text);
  if (named) return { name: named.name, width: named.width, height: named.height };
  const size = /^(\d{1,9})\s*[x×]\s*(\d{1,9})$/iu.exec(text.trim());
  if (!size)
    return { problem: `${shapeTakes}, found ${describe(text)}${didYouMean(text, shapeNames)}` };
  const width = Number(size[1]);
  const height = Number(size[2]);
  for (const side of [width, height]) {
    if (side < SMALLEST_SIDE || side > LARGEST_SIDE) {
      return {
        problem: `takes sides of ${SMALLEST_SIDE} to ${LARGEST_SIDE} pixels, found ${width}x${height}`,
      };
    }
  }
  if (width % 2 !== 0 || height % 2 !== 0) {
    const even = `${width + (width % 2)}x${height + (height % 2)}`;
    return { problem: `takes even sides, found ${width}x${height}; ${even} would do` };
  }
  return { name: `${width}x${height}`, width, height };
}
