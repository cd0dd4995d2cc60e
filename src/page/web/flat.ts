import { GUTTER, isFirst, levelOf, type Tile } from '../layout.js';
import type { PageData } from '../types.js';
import { tileSource } from './source.js';

/** The small first picture as it is, for browsers that cannot draw it on a sphere. */
export async function showFlat(canvas: HTMLCanvasElement, { picture }: PageData): Promise<void> {
  const level = Array.from({ length: picture.levels }, (_, n) => n).find((n) =>
    isFirst(picture, { level: n, column: 0, row: 0 }),
  )!;
  const { width, height, columns, rows, tileWidth, tileHeight } = levelOf(picture, level);
  canvas.width = width;
  canvas.height = height;
  canvas.classList.add('flat');
  const pen = canvas.getContext('2d');
  if (pen === null) return;
  const source = tileSource(undefined);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const tile: Tile = { level, column, row };
      const image = await source(tile);
      const size = [tileWidth, tileHeight] as const;
      const at = [column * tileWidth, row * tileHeight] as const;
      pen.drawImage(image, GUTTER, GUTTER, ...size, ...at, ...size);
    }
  }
}
