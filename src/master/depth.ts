import type { Metadata } from 'sharp';

const FLOATS = 'floating-point numbers';

type Facts = Pick<Metadata, 'depth' | 'bitsPerSample'>;

/** What the samples of a picture are, by sharp, where they are no codes of 8 or 16 bits. */
export function unusualSamples({ depth, bitsPerSample }: Facts): string | undefined {
  if (depth === undefined || depth === 'uchar' || depth === 'ushort') return undefined;
  if (depth === 'complex' || depth === 'dpcomplex') return 'complex numbers';
  const bits = bitsPerSample === undefined ? '' : ` of ${bitsPerSample} bits`;
  if (depth === 'float' || depth === 'double') return `${FLOATS}${bits}`;
  return `${depth === 'uint' ? 'whole' : 'signed'} numbers${bits}`;
}

/**
 * Why a picture with such samples is refused, and what to do; undefined for one of 8 or 16 bits. Floats are not taken
 * for anything: TIFF says no more of them than that (SampleFormat 3), libvips takes them for linear light, and editors
 * write them as linear light, beyond white too, or as codes from 0 to 1. The wrong guess is a wrong picture.
 */
export function samplesComplaint(facts: Facts): string | undefined {
  const found = unusualSamples(facts);
  if (found === undefined) return undefined;
  const unsaid = found.startsWith(FLOATS) ? ', which may be linear light or not' : '';
  return `expected 8 or 16 bits a channel, found ${found}${unsaid}: export it as a 16-bit TIFF in sRGB, or linear light, for scenes, as OpenEXR`;
}
