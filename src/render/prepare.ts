import { Interrupted } from '../errors.js';
import { type OpenOptions, openMasterRows } from '../master/open.js';
import type { GlContext } from './context.js';
import { beginUpload, type MasterTexture } from './masterTexture.js';

/** Rows that are uploaded between looks at the signal. */
const BREATH_BYTES = 2 ** 26;

export interface PrepareOptions extends OpenOptions {
  /** Lookups a radian that what will be drawn takes at least: coarser levels are not made. */
  readonly coarsest?: number;
  readonly signal?: AbortSignal;
}

/**
 * Decodes a master and puts it on the GPU with all its levels. Decoding begins at once, so the context
 * may still be opening; and it goes on while pages are made and strips uploaded.
 *
 * @throws InputError, WorkError; Interrupted when `signal` fires
 */
export async function prepareMaster(
  context: GlContext | Promise<GlContext>,
  file: string,
  options: PrepareOptions = {},
): Promise<MasterTexture> {
  const { signal } = options;
  const opening = Promise.resolve(context);
  // Shows when it is awaited; until then nobody listens.
  opening.catch(() => {});
  const master = await openMasterRows(file, options);
  const upload = beginUpload(await opening, master, master.depth, options.coarsest);
  try {
    const step = Math.max(1, Math.floor(BREATH_BYTES / (master.width * 3))) * master.width * 3;
    for await (const rows of master.strips) {
      for (let at = 0; at < rows.length; at += step) {
        await new Promise((turn) => setImmediate(turn));
        if (signal?.aborted) throw new Interrupted();
        upload.add(rows.subarray(at, at + step));
      }
    }
    return upload.finish();
  } catch (error) {
    upload.abort();
    throw error;
  }
}
