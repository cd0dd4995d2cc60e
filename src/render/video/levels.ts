import type { Framebuffer } from 'regl';
import { type AtlasLayout, GUTTER, levelPlace, levelSize, type Size } from '../atlas.js';
import type { GlContext } from '../context.js';
import { readShader } from '../shaders.js';
import { type CalmBand, calmBands, type Rows } from './bands.js';
import { createPasses, type LightTexture, lightTexture, type Pass } from './passes.js';
import type { PlaneTextures } from './planes.js';

/** The pages to fill: one for each tile, for 8 bits, or for the high and the low bytes of 16. */
export interface PageTargets {
  readonly high: readonly Framebuffer[];
  readonly low: readonly Framebuffer[];
}

/** Fills the pages from the planes as they are now: the same levels as src/render/pyramid.ts makes. */
export interface LevelMaker {
  make(): void;
  /** The coarsest level in linear light, RGBA, rows from the top. */
  readCoarsest(): { readonly size: Size; readonly light: Float32Array };
  destroy(): void;
}

/** @param layout of a master of the very size of the planes */
export function createLevels(
  context: GlContext,
  layout: AtlasLayout,
  planes: PlaneTextures,
  pages: PageTargets,
): LevelMaker {
  const run = createPasses(context, planes, readShader);
  const sizes = Array.from({ length: layout.levels }, (_, level) => levelSize(layout, level));
  /** Level 0 is the planes themselves. */
  const lights = sizes.map((size, level) =>
    level === 0 ? undefined : lightTexture(context, size),
  );
  const levels = sizes.map((size, level) => createLevel(level, size, lights[level] ?? 'planes'));

  function createLevel(level: number, size: Size, source: Pass['source']) {
    const bands = calmBands(size);
    const halved = halvings(size, bands);
    const plain = { from: bands[0]?.end ?? 0, end: size.height - (bands[0]?.end ?? 0) };

    const put = (
      rows: Rows,
      own: Pass['source'],
      defines: string[],
      uniforms: Pass['uniforms'],
    ) => {
      for (const { tile, shift, box } of placesOf(layout, level, size, rows)) {
        const pass = { shader: 'page', source: own, box } as const;
        const all = { shift, levelSize: [size.width, size.height], ...uniforms };
        const [high, low] = [pages.high[tile]!, pages.low[tile]];
        const depth = low === undefined ? [] : ['#define HIGH'];
        run({ ...pass, defines: [...defines, ...depth], uniforms: all, target: high });
        if (low === undefined) continue;
        run({ ...pass, defines: [...defines, '#define LOW'], uniforms: all, target: low });
      }
    };
    return {
      make() {
        put(plain, source, [], {});
        let from = source;
        for (const [index, light] of halved.entries()) {
          const rows = light.height / 2;
          const sourceRows = index === 0 ? size.height : halved[index - 1]!.height;
          const uniforms = { rows, sourceRows };
          run({
            shader: 'halve',
            defines: [],
            source: from,
            uniforms,
            target: light.target,
            box: whole(light),
          });
          from = light;
        }
        for (const { from, end, halvings, taps } of bands) {
          const own = halvings === 0 ? source : halved[halvings - 1]!;
          const calmRows = halvings === 0 ? 0 : (own as LightTexture).height / 2;
          const uniforms = { cell: 2 ** halvings, calmRows };
          const defines = ['#define CALM', `#define TAPS ${taps}`];
          put({ from, end }, own, defines, uniforms);
          put({ from: size.height - end, end: size.height - from }, own, defines, uniforms);
        }
      },
      destroy() {
        for (const light of halved) light.destroy();
      },
    };
  }

  function halvings(size: Size, bands: readonly CalmBand[]): LightTexture[] {
    const deepest = Math.max(0, ...bands.map((band) => band.halvings));
    return Array.from({ length: deepest }, (_, index) => {
      // All rows that this halving or a further one is looked up for.
      const rows = bands.find((band) => band.halvings > index)!.end;
      return lightTexture(context, { width: size.width / 2 ** (index + 1), height: 2 * rows });
    });
  }

  const reduce = (level: number) => {
    const [from, to] = [sizes[level - 1]!, lights[level]!];
    const ratio = [from.width / to.width, from.height / to.height] as const;
    const [across, down] = ratio.map((side) =>
      Number.isInteger(side) ? side : Math.ceil(side) + 1,
    );
    run({
      shader: 'reduce',
      defines: [`#define TAPS_ACROSS ${across}`, `#define TAPS_DOWN ${down}`],
      source: lights[level - 1] ?? 'planes',
      uniforms: { ratio, sourceSize: [from.width, from.height] },
      target: to.target,
      box: whole(to),
    });
  };

  return {
    make() {
      for (const [level, each] of levels.entries()) {
        if (level > 0) reduce(level);
        each.make();
      }
    },
    readCoarsest() {
      const coarsest = lights.at(-1) ?? lights[0];
      const size = sizes.at(-1)!;
      const light = new Float32Array(size.width * size.height * 4);
      if (coarsest !== undefined)
        context.regl.read({ framebuffer: coarsest.target as never, data: light });
      return { size, light };
    },
    destroy() {
      for (const light of lights) light?.destroy();
      for (const level of levels) level.destroy();
    },
  };
}

const whole = ({ width, height }: Size) => ({ x: 0, y: 0, width, height });

/**
 * Where rows of a level lie on the tiles' pages, gutters included. Rows at a pole bring those past it along,
 * which are the same rows again.
 */
function* placesOf(layout: AtlasLayout, level: number, size: Size, { from, end }: Rows) {
  const place = levelPlace(layout, level);
  const bottom = place.height * layout.tilesY;
  const first = from === 0 ? -GUTTER : from;
  const last = end === size.height ? bottom + GUTTER : end;
  for (let tile = 0; tile < layout.tilesX * layout.tilesY; tile++) {
    const column = (tile % layout.tilesX) * place.width;
    const row = Math.floor(tile / layout.tilesX) * place.height;
    const top = Math.max(first, row - GUTTER);
    const height = Math.min(last, row + place.height + GUTTER) - top;
    if (height <= 0) continue;
    yield {
      tile,
      shift: [column - place.x, row - place.y],
      box: {
        x: place.x - GUTTER,
        y: place.y + top - row,
        width: place.width + 2 * GUTTER,
        height,
      },
    };
  }
}
