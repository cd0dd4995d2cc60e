/**
 * sRGB's transfer function (IEC 61966-2-1) as tables between 8-bit codes and linear light in 16 bits,
 * the form in which the master's levels are averaged.
 */

/** Linear light, 0 to 1, of an sRGB-encoded value, 0 to 1. */
export function decodeSrgb(encoded: number): number {
  return encoded <= 0.04045 ? encoded / 12.92 : ((encoded + 0.055) / 1.055) ** 2.4;
}

/** sRGB-encoded value, 0 to 1, of linear light, 0 to 1. */
export function encodeSrgb(linear: number): number {
  return linear <= 0.0031308 ? 12.92 * linear : 1.055 * linear ** (1 / 2.4) - 0.055;
}

/** 16-bit linear light of each 8-bit code. */
export const LINEAR_OF_CODE = Uint16Array.from({ length: 256 }, (_, code) =>
  Math.round(65535 * decodeSrgb(code / 255)),
);

/** Nearest 8-bit code of each 16-bit linear value. */
export const CODE_OF_LINEAR = Uint8Array.from({ length: 65536 }, (_, linear) =>
  Math.round(255 * encodeSrgb(linear / 65535)),
);
