import type { Camera } from '../camera/types.js';
import { wrapped } from '../math.js';
import { type AtlasLayout, levelSize } from '../render/atlas.js';
import type { GlContext } from '../render/context.js';
import { directionAt, finestResolution } from '../render/resolution.js';
import { type FetchTexels, LevelView } from './tiles.js';

/** Texels across of what is loaded before anything else. */
const FIRST_WIDTH = 2048;
/** Texels for each pixel of the finest part of a frame: what `final` looks up at most, and some more. */
const FINENESS = { still: 2.6, moving: 1.1 };
/** Bytes of textures that are kept. */
const BUDGET = 768 * 2 ** 20;
/** Points across and down a frame at which its tiles are looked for. */
const POINTS = 25;

/** A master on the page: as coarse or fine as a frame needs, tile by tile. */
export class PageMaster {
  readonly #views: readonly LevelView[];
  readonly #first: number;
  readonly #changed: () => void;
  #clock = 0;

  private constructor(views: readonly LevelView[], first: number, changed: () => void) {
    this.#views = views;
    this.#first = first;
    this.#changed = changed;
  }

  /** Resolves when the first, small view is there. */
  static async open(
    context: GlContext,
    layout: AtlasLayout,
    fetchTexels: FetchTexels,
    changed: () => void,
    signal: AbortSignal,
  ): Promise<PageMaster> {
    const size = levelSize(layout, layout.levels - 1);
    const coarsest = await fetchTexels(layout.levels - 1, { x: 0, y: 0, ...size }, signal);
    const views = Array.from(
      { length: layout.levels },
      (_, level) => new LevelView(context, layout, level, coarsest, fetchTexels),
    );
    const first = views.findIndex((view) => view.layout.width <= FIRST_WIDTH && view.fits);
    const master = new PageMaster(views, first < 0 ? views.length - 1 : first, changed);
    await new Promise<void>((resolve) => {
      const view = views[master.#first]!;
      const all = new Set(Array.from({ length: view.texture.pages.length }, (_, tile) => tile));
      view.want(all, () => view.has(all) && resolve());
    });
    return master;
  }

  /**
   * The view to draw `camera` with now. What would be better is on its way; `changed` tells when it has
   * come. `isBest` says that nothing is.
   */
  viewFor(
    camera: Camera,
    size: { readonly width: number; readonly height: number },
    motion: 'still' | 'moving',
  ): { readonly view: LevelView; readonly isBest: boolean } {
    const texels = 2 * Math.PI * finestResolution(camera, size.width, size.height);
    const best = this.#wanted(texels * FINENESS[motion], camera);
    const { view: wanted, tiles } = best;
    wanted.usedAt = ++this.#clock;
    if (wanted.has(tiles)) {
      this.#tidy(wanted, tiles);
      return { view: wanted, isBest: true };
    }
    wanted.want(tiles, this.#changed);
    const level = this.#views.indexOf(wanted);
    const ready = this.#views.find(
      (view, index) => index > level && view.has(tilesSeen(camera, view.layout)),
    );
    return { view: ready ?? this.#views[this.#first]!, isBest: false };
  }

  destroy(): void {
    for (const view of this.#views) view.texture.destroy();
  }

  /** The coarsest view that is fine enough, or the finest whose tiles in sight can be held. */
  #wanted(width: number, camera: Camera): { view: LevelView; tiles: ReadonlySet<number> } {
    const enough = this.#views.findLastIndex((view) => view.layout.width >= width);
    const from = Math.min(this.#first, Math.max(0, enough));
    for (const view of this.#views.slice(from, this.#first)) {
      const tiles = tilesSeen(camera, view.layout);
      if (view.fits && tiles.size * view.pageBytes <= BUDGET / 2) return { view, tiles };
    }
    const view = this.#views[this.#first]!;
    return { view, tiles: tilesSeen(camera, view.layout) };
  }

  /** Lets go of what has not been used longest, until the rest is within the budget. */
  #tidy(current: LevelView, tiles: ReadonlySet<number>): void {
    const others = this.#views
      .filter((view, index) => view !== current && index !== this.#first && view.bytes > 0)
      .toSorted((a, b) => a.usedAt - b.usedAt);
    const held = () => this.#views.reduce((sum, view) => sum + view.bytes, 0);
    for (const view of others) {
      if (held() <= BUDGET) return;
      view.release(new Set());
    }
    if (held() > BUDGET) current.release(tiles);
  }
}

/** The tiles that a frame looks up. */
function tilesSeen(camera: Camera, layout: AtlasLayout): ReadonlySet<number> {
  const { tilesX, tilesY, width, height, tile } = layout;
  if (tilesX * tilesY === 1) return new Set([0]);
  const tiles = new Set<number>();
  for (let i = 0; i < POINTS * POINTS; i++) {
    const at = (index: number) => (2 * index) / (POINTS - 1) - 1;
    const [x, y, z] = directionAt(camera, at(i % POINTS), at(Math.floor(i / POINTS)));
    const u = (0.5 + Math.atan2(x, -z) / (2 * Math.PI)) * width;
    const v = (0.5 - Math.atan2(y, Math.hypot(x, z)) / Math.PI) * height;
    // A little round each point too, as far as lookups and the way to the next point reach.
    for (const [dx, dy] of [
      [0, 0],
      [-0.06, 0],
      [0.06, 0],
      [0, -0.06],
      [0, 0.06],
    ] as const) {
      const column = Math.floor((u + dx * tile.width) / tile.width);
      const row = Math.floor((v + dy * tile.height) / tile.height);
      tiles.add(Math.min(tilesY - 1, Math.max(0, row)) * tilesX + wrapped(column, tilesX));
    }
  }
  return tiles;
}
