import type { FileHandle } from 'node:fs/promises';
import { fill } from '../encode/reading.js';
import { WorkError } from '../errors.js';

/** Of libvips's own format (.v): a header of this many bytes, then the samples, then the metadata. */
export const V_HEADER = 64;

/**
 * Fills `into` from a file in libvips's own format, beginning so many bytes behind its first sample.
 *
 * @throws WorkError where it ends early
 */
export async function readStored(handle: FileHandle, into: Uint8Array, from = 0): Promise<void> {
  if ((await fill(handle, into, V_HEADER + from)) < into.length) {
    throw new WorkError('The uncompressed master ended early.');
  }
}
