/**
 * A picture of the whole sphere, 2:1, cut into tiles at several levels of detail. Level 0 is the finest and
 * each further one has half its width; from the level that fits one tile on, the tile gets smaller.
 */
export interface TilesLayout {
  /** Texels along a side of a tile, without its gutter; a multiple of 4. */
  readonly side: number;
  /** Tiles across level 0, a power of two, and twice those down it. */
  readonly columns: number;
  readonly levels: number;
}

/** Texels round each tile that repeat its neighbours, so that a bicubic lookup needs no other tile. */
export const GUTTER = 2;

/** As large as a tile gets, in texels. */
const LARGEST_SIDE = 512;

/** The narrowest picture that can be cut. */
export const LEAST_WIDTH = 16;

/** The widest picture up to `width`, at least LEAST_WIDTH, that has tiles of one size. */
export function layOutTiles(width: number): TilesLayout {
  const doublings = Math.max(1, Math.ceil(Math.log2(width / LARGEST_SIDE)));
  const columns = 2 ** doublings;
  return { side: 4 * Math.floor(width / columns / 4), columns, levels: doublings + 2 };
}

export interface TileLevel {
  readonly width: number;
  readonly height: number;
  readonly columns: number;
  readonly rows: number;
  /** Texels of one tile. */
  readonly tileWidth: number;
  readonly tileHeight: number;
}

/** `shaders/page/tiles.glsl` does the same sums. */
export function levelOf({ side, columns: across }: TilesLayout, level: number): TileLevel {
  const width = (side * across) / 2 ** level;
  const columns = Math.max(1, across / 2 ** level);
  const rows = Math.max(1, across / 2 / 2 ** level);
  const height = width / 2;
  return { width, height, columns, rows, tileWidth: width / columns, tileHeight: height / rows };
}

export interface Tile {
  readonly level: number;
  readonly column: number;
  readonly row: number;
}

/** Its name in the page and its file's, without the ending. */
export const tileName = ({ level, column, row }: Tile): string => `${level}-${column}-${row}`;

/** All tiles, the coarsest first. */
export function* allTiles(layout: TilesLayout): Iterable<Tile> {
  for (let level = layout.levels - 1; level >= 0; level--) {
    const { columns, rows } = levelOf(layout, level);
    for (let row = 0; row < rows; row++) {
      for (let column = 0; column < columns; column++) yield { level, column, row };
    }
  }
}

/** Whether it belongs to the small picture that a page shows before anything else: at most 2 tiles across. */
export const isFirst = (layout: TilesLayout, { level }: Tile): boolean =>
  levelOf(layout, level).columns <= 2;
