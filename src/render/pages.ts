import type { Texture2D } from 'regl';
import { WorkError } from '../errors.js';
import type { Depth, Samples } from '../master/pixels.js';
import { type AtlasLayout, GUTTER, levelBox, levelPlace, levelSize, type Size } from './atlas.js';
import type { GlContext } from './context.js';
import { highPage, LOW_PAGE } from './deep.js';
import { createStrip, type Strip } from './strip.js';

/** The textures that hold a master's levels, filled row by row. */
export interface Pages {
  readonly high: readonly Texture2D[];
  /** What the high ones cannot hold of 16 bits (deep.ts); empty for 8. */
  readonly low: readonly Texture2D[];
  /**
   * One row of a level, from the top row on; it goes wherever pages show it, gutters too. Of a part of a master
   * (`layout.part`) it holds that part's columns.
   */
  add(level: number, row: number, codes: Samples): void;
  finish(): void;
  destroy(): void;
}

/** @throws WorkError when the device runs out of memory */
export function createPages(context: GlContext, layout: AtlasLayout, depth: Depth): Pages {
  const { gl } = context;
  const count = layout.tilesX * layout.tilesY;
  const make = (kind: object) =>
    Array.from({ length: count }, () => emptyPage(context, layout, kind));
  const high = make(highPage(depth));
  const low = depth === 16 ? make(LOW_PAGE) : [];
  const destroy = () => {
    for (const page of [...high, ...low]) page.destroy();
  };
  if (gl.getError() === gl.OUT_OF_MEMORY) {
    destroy();
    throw new WorkError(
      `The graphics device has no memory for a master of ${layout.width}x${layout.height} at ${depth} bits: make it smaller first.`,
    );
  }
  const levels = Array.from({ length: layout.levels }, (_, level) =>
    createLevel(layout, level, high, low),
  );
  return {
    high,
    low,
    add: (level, row, codes) => levels[level]!.add(row, codes),
    finish() {
      for (const level of levels) level.finish();
    },
    destroy,
  };
}

function emptyPage({ regl }: GlContext, { page }: AtlasLayout, kind: object): Texture2D {
  const color = regl.texture({ ...page, ...kind });
  // Else ANGLE would do it at the first upload, with zeros of its own that stay in memory.
  const framebuffer = regl.framebuffer({ color, depthStencil: false });
  framebuffer.use(() => regl.clear({ color: [0, 0, 0, 1] }));
  framebuffer.destroy();
  return color;
}

interface Level {
  add(row: number, codes: Samples): void;
  finish(): void;
}

function createLevel(
  layout: AtlasLayout,
  index: number,
  high: readonly Texture2D[],
  low: readonly Texture2D[],
): Level {
  const size = levelSize(layout, index);
  const place = levelPlace(layout, index);
  const box = levelBox(layout, index);
  const strips = high.map((page, tile) =>
    createStrip(page, low[tile], place, (tile % layout.tilesX) * place.width - GUTTER, box.width),
  );
  // A part that is not all round does not reach past the poles.
  const beyond =
    box.width < size.width
      ? new Map<number, number[]>()
      : rowsBeyond(size, Math.max(size.height, box.y + place.height * layout.tilesY));
  const put = (row: number, codes: Samples, shift: number) => {
    for (let tileY = 0; tileY < layout.tilesY; tileY++) {
      const inTile = row - box.y - tileY * place.height;
      if (inTile < -GUTTER || inTile >= place.height + GUTTER) continue;
      for (let tileX = 0; tileX < layout.tilesX; tileX++) {
        (strips[tileY * layout.tilesX + tileX] as Strip).add(place.y + inTile, codes, shift);
      }
    }
  };
  return {
    add(row, codes) {
      put(row, codes, 0);
      // Past a pole the rows come back, seen from the other side of the sphere.
      for (const copy of beyond.get(row) ?? []) put(copy, codes, size.width >> 1);
    },
    finish() {
      for (const strip of strips) strip.flush();
    },
  };
}

/** For rows near the poles, the rows past the pole at which they are seen again. */
function rowsBeyond({ height }: Size, tiled: number): Map<number, number[]> {
  const beyond = new Map<number, number[]>();
  const note = (row: number, source: number) => {
    const inside = Math.min(height - 1, Math.max(0, source));
    beyond.set(inside, [...(beyond.get(inside) ?? []), row]);
  };
  for (let row = -GUTTER; row < 0; row++) note(row, -1 - row);
  for (let row = height; row < tiled + GUTTER; row++) note(row, 2 * height - 1 - row);
  return beyond;
}
