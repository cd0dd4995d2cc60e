import { breather } from '../master/breath.js';
import { type MasterRows, type OpenOptions, planMasterRows } from '../master/open.js';
import type { Size } from './atlas.js';
import type { GlContext } from './context.js';
import { findLevels, keepingOf, keepLevels } from './keptLevels.js';
import { beginUpload, type MasterTexture } from './masterTexture.js';
import { levelsNeeded, type Portion, portionOf } from './portion.js';
import type { Seen } from './seen.js';

/** Rows that are uploaded between looks at the signal. */
const BREATH_BYTES = 2 ** 26;

export interface PrepareOptions extends OpenOptions {
  /** What will be drawn looks up no more than this: only that is read, as far as it can be, and made. */
  readonly seen?: Seen | undefined;
  readonly signal?: AbortSignal;
  /** Where the levels of large masters that are read whole are kept for the next time, and found. */
  readonly cache?: string | undefined;
  /** Those of more texels than these, instead of only large ones. */
  readonly keptBeyond?: number;
  /** Told of the textures as soon as there are any, with their pictures still on the way. */
  readonly onTexture?: (texture: MasterTexture, context: GlContext) => void;
}

/** A context, or what opens it when it is first asked for. */
export type Opening = () => Promise<GlContext>;

/**
 * Decodes a master and puts it on the GPU with all its levels. Decoding begins at once, then the context is asked
 * for, which keeps this thread busy but not the decoder's; and it goes on while pages are made and strips uploaded.
 *
 * @throws InputError, WorkError; Interrupted when `signal` fires
 */
export async function prepareMaster(
  open: GlContext | Opening,
  file: string,
  options: PrepareOptions = {},
): Promise<MasterTexture> {
  const { signal, seen, onTexture, cache, keptBeyond, ...reading } = options;
  const opened = async () => (typeof open === 'function' ? open() : open);
  const planned = await planPortion(file, reading, seen);
  const keeping =
    seen === undefined
      ? await keepingOf(cache, file, { ...reading, size: planned.size }, keptBeyond)
      : undefined;
  const kept = keeping && (await findLevels(keeping, planned.size));
  if (kept !== undefined) {
    const context = await opened();
    const texture = await kept.upload(context, signal, (early) => onTexture?.(early, context));
    if (texture !== undefined) return texture;
  }
  let { master, portion } = planned.begin();
  const context = await opened();
  if (portion !== undefined && !fits(portion, context.info.maxTextureSize)) {
    ({ master, portion } = (await planPortion(file, reading, undefined)).begin());
  }
  const levels = seen === undefined ? {} : { levels: levelsNeeded(master, seen) };
  const keeper = keeping && (await keepLevels(keeping, context, master, master.depth));
  const wanted = { ...levels, portion, onRow: keeper?.onRow };
  const upload = beginUpload(context, master, master.depth, wanted);
  const breathe = breather(signal);
  try {
    onTexture?.(upload.texture, context);
    const { width } = portion?.source ?? master;
    const step = Math.max(1, Math.floor(BREATH_BYTES / (width * 3))) * width * 3;
    for await (const rows of master.strips) {
      for (let at = 0; at < rows.length; at += step) {
        await breathe();
        upload.add(rows.subarray(at, at + step));
        await keeper?.keptUp();
      }
    }
    await keeper?.finish();
    return upload.finish();
  } catch (error) {
    upload.abort();
    await keeper?.abort();
    throw error;
  }
}

/** Smaller masters come whole: it would gain nothing. In texels. */
const LARGE = 2 ** 21;
/** Largest side of a page that most devices have; where there may be less, all is read again. */
const USUAL_PAGE = 16384;

/** What is to be read of a master: all, or only the part of it that is seen. */
async function planPortion(
  file: string,
  options: OpenOptions,
  seen: Seen | undefined,
): Promise<{
  readonly size: Size;
  begin(): { readonly master: MasterRows; readonly portion: Portion | undefined };
}> {
  let portion: Portion | undefined;
  const part = (size: Size) => {
    if (size.width * size.height < LARGE) return undefined;
    const found = portionOf(size, seen!);
    if (!fits(found, USUAL_PAGE)) return undefined;
    portion = found;
    return found.source;
  };
  const planned = await planMasterRows(file, { ...options, part: seen && part });
  return {
    size: planned.size,
    begin() {
      const master = planned.begin();
      return { master, portion: master.part && portion };
    },
  };
}

const fits = ({ layout: { page } }: Portion, side: number): boolean =>
  Math.max(page.width, page.height) <= side;
