import type { Regl, Texture2D } from 'regl';
import { WorkError } from '../errors.js';
import type { Pixels } from '../master/pixels.js';
import { type AtlasLayout, GUTTER, layOut, levelPlace, levelSize } from './atlas.js';
import { blurSphere } from './blur.js';
import type { GlContext } from './context.js';
import { calmPoles, shrink } from './pyramid.js';

/** A master on the GPU, ready to be looked up at any level of detail. */
export interface MasterTexture {
  readonly layout: AtlasLayout;
  /** One page a tile, row by row. */
  readonly pages: readonly Texture2D[];
  /** The whole sphere, strongly blurred: what a blurred background shows. */
  blurred(): Texture2D;
  destroy(): void;
}

/** Texture units that one draw needs besides the pages. */
export const OTHER_UNITS = 1;

/** Rows of a page that are prepared and uploaded at once; bounds the memory this takes. */
const STRIP_ROWS = 256;

/**
 * Builds all levels of a master and puts them on the GPU. Averages are taken in linear light.
 * The pixels' polar rows are averaged in place, so `master` is spent afterwards.
 *
 * @throws WorkError when the device cannot hold a picture of this size.
 */
export function uploadMaster(context: GlContext, master: Pixels): MasterTexture {
  const { regl, info } = context;
  const layout = layOut(
    master.width,
    master.height,
    info.maxTextureSize,
    info.maxTextureUnits - OTHER_UNITS,
  );
  if (layout === undefined) {
    throw new WorkError(
      `A master of ${master.width}x${master.height} does not fit this graphics device, which holds ${info.maxTextureUnits} textures of at most ${info.maxTextureSize}x${info.maxTextureSize}: make it smaller first.`,
    );
  }
  const pages = Array.from({ length: layout.tilesX * layout.tilesY }, () =>
    emptyPage(regl, layout),
  );
  let level = master;
  for (let index = 0; index < layout.levels; index++) {
    const next = index + 1 < layout.levels ? shrinkTo(layout, level, index + 1) : undefined;
    calmPoles(level);
    uploadLevel(pages, layout, level, index);
    if (next !== undefined) level = next;
  }
  let blurred: Texture2D | undefined;
  return {
    layout,
    pages,
    blurred() {
      blurred ??= regl.texture({
        ...blurSphere(level),
        format: 'rgb',
        mag: 'linear',
        wrapS: 'repeat',
      });
      return blurred;
    },
    destroy() {
      for (const page of pages) page.destroy();
      blurred?.destroy();
    },
  };
}

function emptyPage(regl: Regl, { page }: AtlasLayout): Texture2D {
  return regl.texture({
    width: page.width,
    height: page.height,
    format: 'rgb',
    mag: 'linear',
    min: 'linear',
  });
}

function shrinkTo(layout: AtlasLayout, source: Pixels, level: number): Pixels {
  const { width, height } = levelSize(layout, level);
  return shrink(source, width, height);
}

function uploadLevel(
  pages: readonly Texture2D[],
  layout: AtlasLayout,
  level: Pixels,
  index: number,
): void {
  const place = levelPlace(layout, index);
  const width = place.width + 2 * GUTTER;
  const height = place.height + 2 * GUTTER;
  const strip = new Uint8Array(width * Math.min(STRIP_ROWS, height) * 3);
  pages.forEach((page, tile) => {
    const left = (tile % layout.tilesX) * place.width - GUTTER;
    const top = Math.floor(tile / layout.tilesX) * place.height - GUTTER;
    for (let done = 0; done < height; done += STRIP_ROWS) {
      const rows = Math.min(STRIP_ROWS, height - done);
      for (let row = 0; row < rows; row++) {
        copyRow(
          level,
          left,
          top + done + row,
          strip.subarray(row * width * 3, (row + 1) * width * 3),
        );
      }
      page.subimage(
        { width, height: rows, data: strip.subarray(0, rows * width * 3), format: 'rgb' } as never,
        place.x - GUTTER,
        place.y - GUTTER + done,
      );
    }
  });
}

/** Copies texels from column `left` of row `row` on; both may lie beyond the picture's edges. */
function copyRow(
  { width, height, data }: Pixels,
  left: number,
  row: number,
  out: Uint8Array,
): void {
  // Past a pole the rows come back, seen from the other side of the sphere.
  const pastPole = row < 0 || row >= height;
  const y = row < 0 ? -1 - row : row >= height ? Math.max(0, 2 * height - 1 - row) : row;
  const shift = pastPole ? width >> 1 : 0;
  let x = (((left + shift) % width) + width) % width;
  for (let filled = 0; filled < out.length; ) {
    const count = Math.min(out.length - filled, (width - x) * 3);
    const from = (y * width + x) * 3;
    out.set(data.subarray(from, from + count), filled);
    filled += count;
    x = 0;
  }
}
