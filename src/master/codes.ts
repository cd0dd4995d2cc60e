import { decodeSrgb, encodeSrgb } from '../colour.js';
import type { Depth, Samples } from './pixels.js';

/** sRGB's transfer function as tables between codes and linear light in whole numbers, the form in which
 * the master's levels are averaged. */

/** Codes of one depth and their linear light, a whole number from 0 to `white`. */
export interface Light {
  readonly depth: Depth;
  /** Full light. Four times it fits 31 bits, so that four texels add up in whole numbers. */
  readonly white: number;
  /** Largest code. */
  readonly most: number;
  /** Linear light of each code. */
  readonly ofCode: Int32Array;
  /** Nearest codes of linear light. */
  encode(linear: Int32Array, into: Samples): void;
}

const WHITE_8 = 0xffff;
/** The darkest steps of 16-bit codes are 1/847 of 1/1000 of white: they too get some 20 steps each. */
const WHITE_16 = 0xffffff;

const lightOfCodes = (most: number, white: number): Int32Array =>
  Int32Array.from({ length: most + 1 }, (_, code) => Math.round(white * decodeSrgb(code / most)));

let code8: Uint8Array | undefined;

const light8: Light = {
  depth: 8,
  white: WHITE_8,
  most: 255,
  ofCode: lightOfCodes(255, WHITE_8),
  encode(linear, into) {
    code8 ??= Uint8Array.from({ length: WHITE_8 + 1 }, (_, light) =>
      Math.round(255 * encodeSrgb(light / WHITE_8)),
    );
    const table = code8;
    for (let i = 0; i < linear.length; i++) into[i] = table[linear[i]!]!;
  },
};

let light16: Light | undefined;

/** The tables for `depth`; those for 16 bits take a moment, so they are made when first asked for. */
export function lightOf(depth: Depth): Light {
  if (depth === 8) return light8;
  light16 ??= {
    depth: 16,
    white: WHITE_16,
    most: 65535,
    ofCode: lightOfCodes(65535, WHITE_16),
    encode(linear, into) {
      for (let i = 0; i < linear.length; i++) {
        into[i] = (65535 * encodeSrgbFast(linear[i]! / WHITE_16) + 0.5) | 0;
      }
    },
  };
  return light16;
}

/** Steps of the table below. */
const ROOTS = 8192;
let encodedOfRoot: Float64Array | undefined;

/**
 * `encodeSrgb` for 0 to 1 by a table over the light's square root, in which the curve is so straight
 * that interpolation stays within 1/20 of a 16-bit code, and that only at its kink.
 */
export function encodeSrgbFast(linear: number): number {
  encodedOfRoot ??= Float64Array.from({ length: ROOTS + 2 }, (_, i) =>
    encodeSrgb(Math.min(1, i / ROOTS) ** 2),
  );
  const root = ROOTS * Math.sqrt(linear);
  const step = root | 0;
  const from = encodedOfRoot[step]!;
  return from + (encodedOfRoot[step + 1]! - from) * (root - step);
}
