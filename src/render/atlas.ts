/**
 * Where the master's levels of detail lie on textures ("pages"). WebGL 1 offers neither mip levels nor
 * wrapping for sizes that are no powers of two, and no texture is as large as the largest masters, so
 * each tile of the master gets a page of its own with all its levels side by side:
 *
 *     +-----------------+---------+
 *     | level 0         | level 1 |
 *     |                 +----+----+
 *     |                 | 2  |
 *     +-----------------+----+
 *
 * Every level is ringed by a gutter that repeats its neighbours across tile borders, the ±180° seam and
 * the poles, so a bilinear lookup never meets an edge. shaders/common/master.glsl does the same sums.
 */
export interface AtlasLayout {
  /** Level 0's size in texels: the master's own. */
  readonly width: number;
  readonly height: number;
  readonly tilesX: number;
  readonly tilesY: number;
  /** Number of levels, at least 1. */
  readonly levels: number;
  /** Texels of one tile at level 0; the last tile of a row or column may use less. */
  readonly tile: Size;
  /** Texels of one tile at level 1; each further level has half of it. */
  readonly tile1: Size;
  readonly page: Size;
  /** Where only a part of the master is held, in one tile. */
  readonly part?: AtlasPart;
}

/** Texels of a master of which only a part is held. */
export interface AtlasPart {
  /** The tile's first, at level 0 and at level 1, whose halves those of coarser levels are. */
  readonly first: Place;
  readonly first1: Place;
  /** The whole master's size at level 1. */
  readonly whole1: Size;
}

export interface Place {
  readonly x: number;
  readonly y: number;
}

export interface Size {
  readonly width: number;
  readonly height: number;
}

/** Texels around each level: two, so that a bicubic lookup fits as well. */
export const GUTTER = 2;

/** The coarsest level is about this high; nothing is ever shrunk further in one frame. */
const COARSEST_HEIGHT = 16;

/**
 * @param width,height size of the master in texels
 * @param maxPage largest texture side
 * @param maxPages most textures one draw can read
 * @returns undefined when the master does not fit
 */
export function layOut(
  width: number,
  height: number,
  maxPage: number,
  maxPages: number,
): AtlasLayout | undefined {
  const levels = Math.max(1, Math.floor(Math.log2(height / COARSEST_HEIGHT)) + 1);
  for (let tiles = 1; tiles <= maxPages; tiles++) {
    for (let tilesY = 1; tilesY * tilesY <= tiles; tilesY++) {
      if (tiles % tilesY !== 0) continue;
      const layout = layOutTiles(width, height, levels, tiles / tilesY, tilesY);
      if (Math.max(layout.page.width, layout.page.height) <= maxPage) return layout;
    }
  }
  return undefined;
}

function layOutTiles(
  width: number,
  height: number,
  levels: number,
  tilesX: number,
  tilesY: number,
): AtlasLayout {
  const tile = { width: Math.ceil(width / tilesX), height: Math.ceil(height / tilesY) };
  const tile1 = {
    width: firstLevel(width / tilesX, levels),
    height: firstLevel(height / tilesY, levels),
  };
  return { width, height, tilesX, tilesY, levels, tile, tile1, page: pageOf(tile, tile1, levels) };
}

/** Size of a page that holds so much of each level. */
export function pageOf(tile: Size, tile1: Size, levels: number): Size {
  const last = levels - 1;
  const columnHeight =
    last === 0 ? 0 : levelTop(tile1.height, last) + levelSide(tile1.height, last);
  return {
    width: tile.width + 2 * GUTTER + (last === 0 ? 0 : tile1.width + 2 * GUTTER),
    height: Math.max(tile.height + GUTTER, columnHeight) + GUTTER,
  };
}

/**
 * The same master without its `count` finest levels (at least one fewer than it has): its texels are that
 * master's. On one page where that is at most `maxPage` wide and high, else in the same tiles.
 */
export function withoutFinest(layout: AtlasLayout, count: number, maxPage: number): AtlasLayout {
  if (count === 0) return layout;
  const levels = layout.levels - count;
  const next = Math.min(count + 1, layout.levels - 1);
  const size = levelSize(layout, count);
  const whole = { tile: size, tile1: levelSize(layout, next) };
  const page = pageOf(whole.tile, whole.tile1, levels);
  if (Math.max(page.width, page.height) <= maxPage) {
    return { ...size, tilesX: 1, tilesY: 1, levels, ...whole, page };
  }
  const sideOf = (level: number): Size => {
    const { width, height } = levelPlace(layout, level);
    return { width, height };
  };
  const [tile, tile1] = [sideOf(count), sideOf(next)];
  return { ...layout, ...size, levels, tile, tile1, page: pageOf(tile, tile1, levels) };
}

/** About half of `side`, rounded up so that all further levels are exact halves. */
function firstLevel(side: number, levels: number): number {
  const unit = 2 ** Math.max(0, levels - 2);
  return Math.ceil(side / 2 / unit) * unit;
}

function levelSide(side1: number, level: number): number {
  return side1 / 2 ** (level - 1);
}

function levelTop(height1: number, level: number): number {
  return GUTTER + height1 * (2 - 2 ** (2 - level)) + 2 * GUTTER * (level - 1);
}

/** Where level `level` of a tile lies on its page: its own texels, without the gutter. */
export function levelPlace(layout: AtlasLayout, level: number): Size & Place {
  const { tile, tile1 } = layout;
  if (level === 0) return { x: GUTTER, y: GUTTER, ...tile };
  return {
    x: tile.width + 3 * GUTTER,
    y: levelTop(tile1.height, level),
    width: levelSide(tile1.width, level),
    height: levelSide(tile1.height, level),
  };
}

/** Size of the whole master at a level. */
export function levelSize(layout: AtlasLayout, level: number): Size {
  if (level === 0) return { width: layout.width, height: layout.height };
  if (layout.part !== undefined) {
    const { width, height } = layout.part.whole1;
    return { width: levelSide(width, level), height: levelSide(height, level) };
  }
  const { width, height } = levelPlace(layout, level);
  return { width: width * layout.tilesX, height: height * layout.tilesY };
}

/** What a layout holds of a level: all of it, or a part, whose columns may go on beyond the right edge. */
export function levelBox(layout: AtlasLayout, level: number): Size & Place {
  const { part } = layout;
  if (part === undefined) return { x: 0, y: 0, ...levelSize(layout, level) };
  const { width, height } = levelPlace(layout, level);
  if (level === 0) return { x: part.first.x, y: part.first.y, width, height };
  const { x, y } = part.first1;
  return { x: levelSide(x, level), y: levelSide(y, level), width, height };
}

/** What master.glsl and place.glsl must know of a layout, by the names of their uniforms. */
export const layoutUniforms = ({
  width,
  height,
  tile,
  tile1,
  page,
  part,
}: Pick<AtlasLayout, 'width' | 'height' | 'tile' | 'tile1' | 'page' | 'part'>) => ({
  masterSize: [width, height],
  masterTile: [tile.width, tile.height],
  masterTile1: [tile1.width, tile1.height],
  masterPage: [page.width, page.height],
  masterTexel: [1 / page.width, 1 / page.height],
  ...(part === undefined
    ? {}
    : {
        masterFirst: [part.first.x, part.first.y],
        masterFirst1: [part.first1.x, part.first1.y],
        masterWhole1: [part.whole1.width, part.whole1.height],
      }),
});
