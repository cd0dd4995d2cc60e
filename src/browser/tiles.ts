import type { Texture2D } from 'regl';
import { pixels } from '../master/pixels.js';
import { type AtlasLayout, GUTTER, levelPlace, levelSize, withoutFinest } from '../render/atlas.js';
import { blurSphere } from '../render/blur.js';
import type { GlContext } from '../render/context.js';
import type { MasterTexture } from '../render/masterTexture.js';

/** Gets a part of a level as RGB rows; see levels.ts of the server. */
export type FetchTexels = (
  level: number,
  part: { x: number; y: number; width: number; height: number },
  signal: AbortSignal,
) => Promise<Uint8Array>;

/** Bytes of texels that are asked for at once. */
const BAND_BYTES = 2 ** 22;

/** A master from one of its levels on, on the GPU: the renderer takes it as a master of that size. */
export class LevelView {
  readonly layout: AtlasLayout;
  readonly texture: MasterTexture;
  /** When it was last drawn with, for the memory's sake. */
  usedAt = 0;
  readonly #context: GlContext;
  readonly #first: number;
  readonly #pages: Texture2D[];
  readonly #whole = new Set<number>();
  readonly #loading = new Map<number, AbortController>();
  readonly #fetch: FetchTexels;

  /** @param first level of `all` that is this one's finest */
  constructor(
    context: GlContext,
    all: AtlasLayout,
    first: number,
    coarsest: Uint8Array,
    fetchTexels: FetchTexels,
  ) {
    this.#context = context;
    this.#first = first;
    this.#fetch = fetchTexels;
    this.layout = withoutFinest(all, first, Math.min(context.info.maxTextureSize, 8192));
    const count = this.layout.tilesX * this.layout.tilesY;
    this.#pages = Array.from({ length: count }, () =>
      context.regl.texture({ width: 1, height: 1 }),
    );
    let blurred: Texture2D | undefined;
    this.texture = {
      layout: this.layout,
      depth: 8,
      pages: this.#pages,
      blurred: () => {
        const size = levelSize(all, all.levels - 1);
        blurred ??= context.regl.texture({
          ...blurSphere(pixels(size.width, size.height, coarsest)),
          format: 'rgb',
          mag: 'linear',
          wrapS: 'repeat',
        });
        return blurred;
      },
      destroy: () => {
        for (const controller of this.#loading.values()) controller.abort();
        for (const page of this.#pages) page.destroy();
        blurred?.destroy();
      },
    };
  }

  /** Whether this device can hold a page. */
  get fits(): boolean {
    const { page } = this.layout;
    return Math.max(page.width, page.height) <= this.#context.info.maxTextureSize;
  }

  /** Bytes of one page on the GPU. */
  get pageBytes(): number {
    return this.layout.page.width * this.layout.page.height * 4;
  }

  get bytes(): number {
    return this.#whole.size * this.pageBytes;
  }

  has(tiles: Iterable<number>): boolean {
    return [...tiles].every((tile) => this.#whole.has(tile));
  }

  /** Loads these tiles, and stops loading others; `done` after each. */
  want(tiles: ReadonlySet<number>, done: () => void): void {
    for (const [tile, controller] of this.#loading) {
      if (!tiles.has(tile)) controller.abort();
    }
    for (const tile of tiles) {
      if (this.#whole.has(tile) || this.#loading.has(tile)) continue;
      const controller = new AbortController();
      this.#loading.set(tile, controller);
      void this.#load(tile, controller.signal)
        .then(() => this.#whole.add(tile))
        .catch(() => {})
        .finally(() => {
          this.#loading.delete(tile);
          if (!controller.signal.aborted) done();
        });
    }
  }

  /** Lets go of all pages but those of `kept`. */
  release(kept: ReadonlySet<number>): void {
    for (const tile of [...this.#whole]) {
      if (kept.has(tile)) continue;
      this.#whole.delete(tile);
      this.#pages[tile]!({ width: 1, height: 1 });
    }
  }

  async #load(tile: number, signal: AbortSignal): Promise<void> {
    const { layout } = this;
    const page = this.#pages[tile]!;
    page({ ...layout.page, format: 'rgb', mag: 'linear', min: 'linear' });
    const [column, row] = [tile % layout.tilesX, Math.floor(tile / layout.tilesX)];
    for (let level = layout.levels - 1; level >= 0; level--) {
      const place = levelPlace(layout, level);
      const width = place.width + 2 * GUTTER;
      const rows = place.height + 2 * GUTTER;
      const band = Math.max(1, Math.floor(BAND_BYTES / (3 * width)));
      for (let y = 0; y < rows; y += band) {
        const height = Math.min(band, rows - y);
        const left = column * place.width - GUTTER;
        const part = { x: left, y: row * place.height - GUTTER + y, width, height };
        const data = await this.#fetch(this.#first + level, part, signal);
        if (signal.aborted) throw new DOMException('No longer wanted.', 'AbortError');
        const image = { width, height, data, format: 'rgb' } as never;
        page.subimage(image, place.x - GUTTER, place.y - GUTTER + y);
      }
    }
  }
}
