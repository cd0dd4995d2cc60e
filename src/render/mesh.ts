import type { Buffer, Elements, Regl } from 'regl';
import { edge } from './regions.js';
import { blocksAlong } from './survey.js';

/** The blocks of a frame as a mesh of triangles; mesh.vert works out where each corner looks. */
export interface Mesh {
  /** What draws these blocks; good until it is asked for others. */
  of(blocks: readonly number[]): { readonly corners: Buffer; readonly elements: Elements };
  destroy(): void;
}

/** @param cells cells along a block's side: at most 7, so that corners can be counted with 16 bits */
export function createMesh(regl: Regl, width: number, height: number, cells: number): Mesh {
  const [columns, rows] = [blocksAlong(width), blocksAlong(height)];
  const side = cells + 1;
  const places = Array.from({ length: columns * rows * side * side }, (_, index) => {
    const block = Math.floor(index / (side * side));
    const across = (index % side) / cells;
    const down = (Math.floor(index / side) % side) / cells;
    return [
      between(block % columns, across, columns, width),
      between(Math.floor(block / columns), down, rows, height),
    ];
  });
  const corners = regl.buffer(places);
  const pattern = Array.from({ length: cells * cells }, (_, cell) => {
    const first = Math.floor(cell / cells) * side + (cell % cells);
    const below = first + side;
    return [first, first + 1, below, first + 1, below + 1, below];
  }).flat();
  const numbers = new Uint16Array(columns * rows * pattern.length);
  const elements = regl.elements({ data: numbers, primitive: 'triangles', usage: 'stream' });
  return {
    of(blocks) {
      let at = 0;
      for (const block of blocks) {
        const first = block * side * side;
        for (const corner of pattern) numbers[at++] = first + corner;
      }
      elements({ data: numbers.subarray(0, at), primitive: 'triangles', usage: 'stream' });
      return { corners, elements };
    },
    destroy() {
      corners.destroy();
      elements.destroy();
    },
  };
}

/** The pixel that lies `share` of the way through a block. */
function between(block: number, share: number, count: number, pixels: number): number {
  const start = edge(block, count, pixels);
  return start + share * (edge(block + 1, count, pixels) - start);
}
