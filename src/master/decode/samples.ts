import type { Samples } from '../pixels.js';

/** Spreads codes of `bits` bits that were shifted up to 16 over all of 0 to 65535, in place. */
export function spread(samples: Uint16Array, bits: number): void {
  if (bits >= 16) return;
  const most = (2 ** bits - 1) * 2 ** (16 - bits);
  for (let i = 0; i < samples.length; i++) {
    samples[i] = Math.min(65535, (samples[i]! * 65535) / most + 0.5);
  }
}

/** Rounds 16-bit codes to 8 bits, in place: the result lies in the first half of the same memory. */
export function toEight(samples: Uint16Array): Uint8Array {
  const eight = new Uint8Array(samples.buffer, samples.byteOffset, samples.length);
  for (let i = 0; i < samples.length; i++) eight[i] = (samples[i]! + 128) / 257;
  return eight;
}

/**
 * Keeps of each pixel's `channels` samples the three colours and, where there is one, the transparency, which is the
 * `alpha`th behind them, from 0; in place: the result lies at the start of the same memory.
 */
export function keepChannels<T extends Samples>(
  samples: T,
  channels: number,
  alpha: number | undefined,
): T {
  let out = 0;
  for (let at = 0; at < samples.length; at += channels) {
    for (let c = 0; c < 3; c++) samples[out++] = samples[at + c]!;
    if (alpha !== undefined) samples[out++] = samples[at + 3 + alpha]!;
  }
  return samples.subarray(0, out) as T;
}

/** Replaces the first three of each pixel's `channels` samples by what `codes` has for them, in place. */
export function recode(samples: Uint16Array, channels: number, codes: Uint16Array): void {
  for (let at = 0; at < samples.length; at += channels) {
    for (let c = 0; c < 3; c++) samples[at + c] = codes[samples[at + c]!]!;
  }
}
