import type { Framebuffer } from 'regl';
import { type AtlasLayout, GUTTER, levelPlace, levelSize, type Size } from '../atlas.js';
import type { GlContext } from '../context.js';
import { readShader } from '../shaders.js';
import { type CalmBand, calmBands, type Rows } from './bands.js';
import type { Need } from './need.js';
import { createPasses, type LightTexture, lightTexture, type Pass } from './passes.js';
import type { PlaneTextures } from './planes.js';

/** The pages to fill: one for each tile, for 8 bits, or for the high and the low bytes of 16. */
export interface PageTargets {
  readonly high: readonly Framebuffer[];
  readonly low: readonly Framebuffer[];
}

/** Fills the pages from the planes as they are now: the same levels as src/render/pyramid.ts makes. */
export interface LevelMaker {
  /** Nothing but what is needed, or little more. */
  make(need: Need): void;
  /** The coarsest level in linear light, RGBA, rows from the top. */
  readCoarsest(): { readonly size: Size; readonly light: Float32Array };
  destroy(): void;
}

/** Rows beyond those that are needed. */
const MARGIN = 4;

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
    const poles = polesOf(level, size, bands);
    const plain = { from: bands[0]?.end ?? 0, end: size.height - (bands[0]?.end ?? 0) };

    const put = (
      wanted: Rows,
      rows: Rows,
      own: Pass['source'],
      defines: string[],
      uniforms: Pass['uniforms'],
    ) => {
      for (const { tile, shift, box } of placesOf(layout, level, size, common(wanted, rows))) {
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
      make(wanted: Rows) {
        put(wanted, plain, source, [], {});
        const calm = bands[0]?.end ?? 0;
        if (wanted.from >= calm && wanted.end <= size.height - calm) return;
        let from = source;
        for (const [halvings, light] of poles.entries()) {
          // A level made before needs no copy of its rows.
          if (light === undefined) continue;
          const sourceRows = from === source ? size.height : (from as LightTexture).height;
          run({
            shader: halvings === 0 ? 'poles' : 'halve',
            defines: light.encoded ? ['#define ENCODED_TARGET'] : [],
            source: from,
            uniforms: { rows: light.height / 2, sourceRows },
            target: light.target,
            box: whole(light),
          });
          from = light;
        }
        for (const { from, end, halvings, taps } of bands) {
          const own = poles[halvings];
          const uniforms = {
            cell: 2 ** halvings,
            calmRows: own === undefined ? 0 : own.height / 2,
          };
          const defines = ['#define CALM', `#define TAPS ${taps}`];
          const rows = own ?? source;
          put(wanted, { from, end }, rows, defines, uniforms);
          put(
            wanted,
            { from: size.height - end, end: size.height - from },
            rows,
            defines,
            uniforms,
          );
        }
      },
      destroy() {
        for (const light of poles) light?.destroy();
      },
    };
  }

  /** The rows near the poles, by how often they are halved along themselves. */
  function polesOf(level: number, size: Size, bands: readonly CalmBand[]) {
    const deepest = Math.max(-1, ...bands.map((band) => band.halvings));
    return Array.from({ length: deepest + 1 }, (_, halvings): LightTexture | undefined => {
      // Converted once, as each goes into several averages.
      if (halvings === 0 && level > 0) return undefined;
      // All rows that this halving or a further one is looked up for.
      const rows = bands.find((band) => band.halvings >= halvings)!.end;
      const isEncoded = halvings === 0 && pages.low.length === 0;
      const own = { width: size.width / 2 ** halvings, height: 2 * rows };
      return lightTexture(context, own, isEncoded);
    });
  }

  const reduce = (level: number, { from: top, end }: Rows) => {
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
      box: { ...whole(to), y: top, height: end - top },
    });
  };

  return {
    make({ finest, coarsest, top, bottom }) {
      // Some rows more of the coarsest level, for lookups between rows, and all that they are made of.
      const more = MARGIN / sizes[coarsest]!.height;
      for (const [level, each] of levels.entries()) {
        if (level > coarsest) break;
        const rows = rowsOf(sizes[level]!, top - more, bottom + more);
        if (level > 0) reduce(level, rows);
        if (level >= finest) each.make(rows);
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

/** A level's rows within a part of the height. */
const rowsOf = ({ height }: Size, top: number, bottom: number): Rows => ({
  from: Math.max(0, Math.floor(top * height)),
  end: Math.min(height, Math.ceil(bottom * height)),
});

const common = (a: Rows, b: Rows): Rows => ({
  from: Math.max(a.from, b.from),
  end: Math.min(a.end, b.end),
});

const whole = ({ width, height }: Size) => ({ x: 0, y: 0, width, height });

/**
 * Where rows of a level lie on the tiles' pages, gutters included. Rows at a pole bring those past it along,
 * which are the same rows again.
 */
function* placesOf(layout: AtlasLayout, level: number, size: Size, { from, end }: Rows) {
  if (from >= end) return;
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
