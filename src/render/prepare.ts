import { Interrupted } from '../errors.js';
import { type MasterRows, type OpenOptions, openMasterRows } from '../master/open.js';
import type { Size } from './atlas.js';
import type { GlContext } from './context.js';
import { beginUpload, type MasterTexture } from './masterTexture.js';
import { levelsNeeded, type Portion, portionOf } from './portion.js';
import type { Seen } from './seen.js';

/** Rows that are uploaded between looks at the signal. */
const BREATH_BYTES = 2 ** 26;

export interface PrepareOptions extends OpenOptions {
  /** What will be drawn looks up no more than this: only that is read, as far as it can be, and made. */
  readonly seen?: Seen | undefined;
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
  let { master, portion } = await openPortion(file, options);
  const { info } = await opening;
  if (portion !== undefined && !fits(portion, info.maxTextureSize)) {
    ({ master, portion } = await openPortion(file, { ...options, seen: undefined }));
  }
  const { seen } = options;
  const levels = seen === undefined ? {} : { levels: levelsNeeded(master, seen) };
  const upload = beginUpload(await opening, master, master.depth, { ...levels, portion });
  try {
    const { width } = portion?.source ?? master;
    const step = Math.max(1, Math.floor(BREATH_BYTES / (width * 3))) * width * 3;
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

/** Smaller masters come whole: it would gain nothing. In texels. */
const LARGE = 2 ** 21;
/** Largest side of a page that most devices have; where there may be less, all is read again. */
const USUAL_PAGE = 16384;

/** Begins to read a master, or only the part of it that is seen. */
async function openPortion(
  file: string,
  { seen, ...options }: PrepareOptions,
): Promise<{ master: MasterRows; portion: Portion | undefined }> {
  let portion: Portion | undefined;
  const part = (size: Size) => {
    if (size.width * size.height < LARGE) return undefined;
    const found = portionOf(size, seen!);
    if (!fits(found, USUAL_PAGE)) return undefined;
    portion = found;
    return found.source;
  };
  const master = await openMasterRows(file, { ...options, part: seen && part });
  return { master, portion: master.part && portion };
}

const fits = ({ layout: { page } }: Portion, side: number): boolean =>
  Math.max(page.width, page.height) <= side;
