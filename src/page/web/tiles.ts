import {
  allTiles,
  GUTTER,
  isFirst,
  levelOf,
  type Tile,
  type TilesLayout,
  tileName,
} from '../layout.js';
import type { TileSource } from './source.js';

/** Texels that the cache has at most, by what the device has to spare. */
const [FEW, MANY] = [2 ** 24, 2 ** 25 + 2 ** 24];
const LONGEST_SIDE = 8192;
const AT_ONCE = 6;
/** Milliseconds after which a tile that did not come is asked for again. */
const RETRY = 4000;

interface Kept {
  readonly slot: number;
  usedAt: number;
}

/** A texture as src/browser/commands.ts takes it. */
interface Bound {
  readonly texture: WebGLTexture;
}

/** The tiles on the graphics card: those of the small first picture always, of the others those used last. */
export class Tiles {
  readonly uniforms: Readonly<Record<string, Bound | readonly number[]>>;
  /** How many tiles a frame may ask for, besides the first ones. */
  readonly room: number;
  readonly #gl: WebGLRenderingContext;
  readonly #layout: TilesLayout;
  readonly #source: TileSource;
  readonly #changed: () => void;
  readonly #cache: WebGLTexture;
  readonly #table: WebGLTexture;
  readonly #tableRows: number;
  readonly #across: number;
  readonly #side: number;
  readonly #slots: number;
  readonly #kept = new Map<string, Kept>();
  readonly #loading = new Set<string>();
  readonly #failed = new Map<string, number>();
  readonly #first: readonly Tile[];
  #wanted: readonly Tile[] = [];
  #clock = 0;

  constructor(
    gl: WebGLRenderingContext,
    layout: TilesLayout,
    source: TileSource,
    changed: () => void,
  ) {
    this.#gl = gl;
    this.#layout = layout;
    this.#source = source;
    this.#changed = changed;
    const all = [...allTiles(layout)];
    this.#first = all.filter((tile) => isFirst(layout, tile));
    this.#side = layout.side + 2 * GUTTER;
    const longest = Math.min(LONGEST_SIDE, Number(gl.getParameter(gl.MAX_TEXTURE_SIZE)));
    const most = Math.floor(longest / this.#side);
    const { deviceMemory = 8 } = navigator as { deviceMemory?: number };
    const texels = matchMedia('(pointer: coarse)').matches || deviceMemory < 4 ? FEW : MANY;
    const wanted = Math.min(all.length, Math.floor(texels / this.#side ** 2));
    this.#across = Math.min(most, Math.ceil(Math.sqrt(wanted)));
    const down = Math.min(most, Math.ceil(wanted / this.#across));
    this.#slots = this.#across * down;
    this.room = this.#slots - this.#first.length;
    this.#cache = this.#texture(gl.RGB, this.#across * this.#side, down * this.#side, gl.LINEAR);
    const { columns, rows } = levelOf(layout, 0);
    this.#tableRows = layout.levels * rows;
    this.#table = this.#texture(gl.RGBA, columns, this.#tableRows, gl.NEAREST);
    this.uniforms = {
      tileCache: { texture: this.#cache },
      tileTable: { texture: this.#table },
      tileGrid: [columns, rows],
      tileMaster: [levelOf(layout, 0).width, levelOf(layout, 0).height],
      tileSlot: [this.#side, this.#side],
      tileCacheSize: [this.#across * this.#side, down * this.#side],
      tileTableSize: [columns, this.#tableRows],
    };
  }

  /** Resolves when the small first picture is there. */
  async open(): Promise<void> {
    await Promise.all(this.#first.map((tile) => this.#load(tile)));
    this.#tabulate();
  }

  has(tiles: readonly Tile[]): boolean {
    return tiles.every((tile) => this.#kept.has(tileName(tile)));
  }

  /** Has these tiles come, and no others; `changed` is called after each. */
  want(tiles: readonly Tile[]): void {
    this.#clock++;
    this.#wanted = tiles;
    for (const tile of tiles) {
      const kept = this.#kept.get(tileName(tile));
      if (kept !== undefined) kept.usedAt = this.#clock;
    }
    this.#go();
  }

  #go(): void {
    for (const tile of this.#wanted) {
      const name = tileName(tile);
      if (this.#loading.size >= AT_ONCE) return;
      if (this.#kept.has(name) || this.#loading.has(name)) continue;
      if (performance.now() - (this.#failed.get(name) ?? Number.NEGATIVE_INFINITY) < RETRY)
        continue;
      this.#loading.add(name);
      void this.#load(tile)
        .then(() => this.#tabulate())
        .catch(() => {
          this.#failed.set(name, performance.now());
          setTimeout(() => this.#changed(), RETRY);
        })
        .finally(() => {
          this.#loading.delete(name);
          this.#go();
          this.#changed();
        });
    }
  }

  async #load(tile: Tile): Promise<void> {
    const image = await this.#source(tile);
    const name = tileName(tile);
    const slot = this.#freeSlot();
    if (slot === undefined) return;
    const gl = this.#gl;
    this.#bind(this.#cache);
    gl.pixelStorei(gl.UNPACK_COLORSPACE_CONVERSION_WEBGL, gl.NONE);
    const [x, y] = [slot % this.#across, Math.floor(slot / this.#across)];
    gl.texSubImage2D(
      ...[gl.TEXTURE_2D, 0, x * this.#side, y * this.#side],
      ...([gl.RGB, gl.UNSIGNED_BYTE] as const),
      image,
    );
    image.close();
    this.#kept.set(name, { slot, usedAt: this.#clock });
  }

  /** One that is free, or whose tile was not used for the longest time; undefined when all are in use. */
  #freeSlot(): number | undefined {
    const taken = new Set([...this.#kept.values()].map(({ slot }) => slot));
    for (let slot = 0; slot < this.#slots; slot++) if (!taken.has(slot)) return slot;
    const firsts = new Set(this.#first.map(tileName));
    let [oldest, name] = [this.#clock, ''];
    for (const [key, { usedAt }] of this.#kept) {
      if (usedAt < oldest && !firsts.has(key)) [oldest, name] = [usedAt, key];
    }
    const slot = this.#kept.get(name)?.slot;
    this.#kept.delete(name);
    return slot;
  }

  /** Says for each tile what is there of it: itself, or the finest that covers it. */
  #tabulate(): void {
    const { levels } = this.#layout;
    const [{ columns: width, rows: below }, gl] = [levelOf(this.#layout, 0), this.#gl];
    const table = new Uint8Array(width * this.#tableRows * 4);
    for (let level = levels - 1; level >= 0; level--) {
      const { columns, rows } = levelOf(this.#layout, level);
      for (let row = 0; row < rows; row++) {
        for (let column = 0; column < columns; column++) {
          const at = 4 * ((level * below + row) * width + column);
          const kept = this.#kept.get(tileName({ level, column, row }));
          if (kept !== undefined) {
            const { slot } = kept;
            table.set([slot % this.#across, Math.floor(slot / this.#across), level, 255], at);
          } else if (level + 1 < levels) {
            const above = levelOf(this.#layout, level + 1);
            const [x, y] = [(column * above.columns) / columns, (row * above.rows) / rows];
            const from = 4 * (((level + 1) * below + Math.floor(y)) * width + Math.floor(x));
            table.copyWithin(at, from, from + 4);
          }
        }
      }
    }
    this.#bind(this.#table);
    const size = [width, this.#tableRows] as const;
    gl.texSubImage2D(gl.TEXTURE_2D, 0, 0, 0, ...size, gl.RGBA, gl.UNSIGNED_BYTE, table);
  }

  #bind(texture: WebGLTexture): void {
    this.#gl.activeTexture(this.#gl.TEXTURE0);
    this.#gl.bindTexture(this.#gl.TEXTURE_2D, texture);
  }

  #texture(format: number, width: number, height: number, filter: number): WebGLTexture {
    const gl = this.#gl;
    const texture = gl.createTexture();
    this.#bind(texture);
    gl.texImage2D(gl.TEXTURE_2D, 0, format, width, height, 0, format, gl.UNSIGNED_BYTE, null);
    for (const name of [gl.TEXTURE_MAG_FILTER, gl.TEXTURE_MIN_FILTER]) {
      gl.texParameteri(gl.TEXTURE_2D, name, filter);
    }
    for (const name of [gl.TEXTURE_WRAP_S, gl.TEXTURE_WRAP_T]) {
      gl.texParameteri(gl.TEXTURE_2D, name, gl.CLAMP_TO_EDGE);
    }
    return texture;
  }
}
