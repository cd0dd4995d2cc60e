import type { Texture2D } from 'regl';
import { WorkError } from '../errors.js';
import { type Depth, newSamples, type Pixels, pixels, type Samples } from '../master/pixels.js';
import { type AtlasLayout, layOut, levelSize, type Size } from './atlas.js';
import { blurSphere } from './blur.js';
import type { GlContext } from './context.js';
import { createPages, type Pages } from './pages.js';
import type { Portion } from './portion.js';
import { createPyramid, type RowSink } from './pyramid.js';

/** A master on the GPU, ready to be looked up at any level of detail. */
export interface MasterTexture {
  readonly layout: AtlasLayout;
  /** Bits a channel. */
  readonly depth: Depth;
  /** One page a tile, row by row; of 16 bits, the high bytes and some more (deep.ts). */
  readonly pages: readonly Texture2D[];
  /** The rest of 16 bits, page by page. */
  readonly lowPages?: readonly Texture2D[];
  /** The master's own size, where the device cannot hold that much and it was reduced to the layout's. */
  readonly reducedFrom?: Size;
  /** The whole sphere, strongly blurred: what a blurred background shows. Black where only a part is there. */
  blurred(): Texture2D;
  destroy(): void;
}

/** Texture units that one draw needs besides the pages. */
export const OTHER_UNITS = 2;

/** A master on its way to the GPU: its rows from the top, in any portions, then `finish`. */
export interface MasterUpload {
  /** What `finish` gives: its textures are there, and their pictures on the way. */
  readonly texture: MasterTexture;
  /** Whole rows, the next ones. They are not kept. */
  add(rows: Samples): void;
  /** One finished row of a level, instead of all `add`: the rows of each level from the top, and all of them. */
  put: RowSink;
  finish(): MasterTexture;
  /** Gives up, instead of `finish`. */
  abort(): void;
}

/**
 * Puts a master on the GPU with all its levels. Averages are taken in linear light. One that is too
 * large for the device is halved until it fits (`reducedFrom` tells).
 *
 * @throws WorkError when the device cannot hold it
 */
export function uploadMaster(context: GlContext, master: Pixels): MasterTexture {
  const upload = beginUpload(context, master, master.depth);
  upload.add(master.data);
  return upload.finish();
}

/** What there need be of a master: all of it by default. */
export interface Wanted {
  /** Levels, from the finest on. */
  readonly levels?: number;
  /** Only this part; rows that come hold its `source`. */
  readonly portion?: Portion | undefined;
  /** Told of the rows of all levels as they are made. */
  readonly onRow?: RowSink | undefined;
}

/** As `uploadMaster`, for rows that come bit by bit. */
export function beginUpload(
  context: GlContext,
  source: Size,
  depth: Depth,
  { levels = Number.POSITIVE_INFINITY, portion, onRow }: Wanted = {},
): MasterUpload {
  const whole = portion?.layout ?? layOutFor(context, source, depth);
  const layout = { ...whole, levels: Math.min(whole.levels, levels) };
  const sizes = sizesOf(layout);
  const pages = createPages(context, layout, depth);
  // What a blurred background is made of.
  const coarsest = portion === undefined ? sizes.at(-1)! : { width: 1, height: 1 };
  const last = newSamples(depth, coarsest.width * coarsest.height * 3);
  const put: RowSink = (level, row, codes) => {
    pages.add(level, row, codes);
    if (level === layout.levels - 1 && portion === undefined) last.set(codes, row * codes.length);
  };
  const sink: RowSink = (level, row, codes) => {
    put(level, row, codes);
    onRow?.(level, row, codes);
  };
  const pyramid = createPyramid(depth, source, sizes, sink, portion);
  const { width, height } = source;
  const isWhole = layout.width === width;
  const blurredFrom = pixels(coarsest.width, coarsest.height, last);
  const described = describe(context, layout, depth, pages, blurredFrom);
  const texture: MasterTexture = {
    ...described.texture,
    ...(isWhole ? {} : { reducedFrom: { width, height } }),
  };
  return {
    texture,
    add: pyramid.add,
    put,
    abort: texture.destroy,
    finish() {
      pages.finish();
      described.complete();
      return texture;
    },
  };
}

/** Of a whole master's levels on this device, finest first. @throws WorkError when it cannot hold it */
export const sizesFor = (context: GlContext, source: Size, depth: Depth): Size[] =>
  sizesOf(layOutFor(context, source, depth));

const sizesOf = (layout: AtlasLayout): Size[] =>
  Array.from({ length: layout.levels }, (_, level) => levelSize(layout, level));

function layOutFor({ info }: GlContext, source: Size, depth: Depth): AtlasLayout {
  const units = Math.floor((info.maxTextureUnits - OTHER_UNITS) / (depth / 8));
  let { width, height } = source;
  while (width > 2 && height > 1) {
    const layout = layOut(width, height, info.maxTextureSize, units);
    if (layout !== undefined) return layout;
    width = Math.floor(width / 2);
    height = Math.floor(height / 2);
  }
  throw new WorkError(
    `A master of ${source.width}x${source.height} does not fit this graphics device, which holds ${info.maxTextureUnits} textures of at most ${info.maxTextureSize}x${info.maxTextureSize}.`,
  );
}

const EMPTY: Size = { width: 1, height: 1 };
const BLURRED = { format: 'rgb', mag: 'linear', wrapS: 'repeat' } as const;

function describe(
  { regl }: GlContext,
  layout: AtlasLayout,
  depth: Depth,
  { high, low, destroy }: Pages,
  coarsest: Pixels,
): { texture: MasterTexture; complete(): void } {
  let blurred: Texture2D | undefined;
  let isThere = false;
  // Programs may be linked to it before the master's rows have come.
  const picture = () => ({ ...(isThere ? blurSphere(coarsest) : EMPTY), ...BLURRED });
  const texture: MasterTexture = {
    layout,
    depth,
    pages: high,
    ...(low.length > 0 ? { lowPages: low } : {}),
    blurred() {
      blurred ??= regl.texture(picture());
      return blurred;
    },
    destroy() {
      destroy();
      blurred?.destroy();
    },
  };
  const complete = () => {
    isThere = true;
    blurred?.(picture());
  };
  return { texture, complete };
}
