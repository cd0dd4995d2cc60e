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
