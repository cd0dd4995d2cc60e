import type { ClipWriter } from './types.js';

/** The steps of a writer, so that the first that fails also takes away what was written before it. */
export function guarded(writer: ClipWriter): ClipWriter {
  const orAbort = async (step: Promise<void>) => {
    try {
      await step;
    } catch (error) {
      await writer.abort();
      throw error;
    }
  };
  return {
    pixelFormat: writer.pixelFormat,
    write: (frame) => orAbort(writer.write(frame)),
    finish: () => orAbort(writer.finish()),
    abort: () => writer.abort(),
  };
}
