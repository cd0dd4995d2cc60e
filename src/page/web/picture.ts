import type { DrawCommand } from 'regl';
import { openCanvas } from '../../browser/context.js';
import type { Camera, Lens } from '../../camera/types.js';
import { findLens } from '../../projection/index.js';
import { assembleFrame } from '../../render/assemble.js';
import { layoutUniforms } from '../../render/atlas.js';
import type { GlContext } from '../../render/context.js';
import { COVER } from '../../render/cover.js';
import { ditherTexture } from '../../render/dither.js';
import { levelOf, type TilesLayout } from '../layout.js';
import { tilesFor } from './demand.js';
import { readShader } from './shaders.js';
import type { TileSource } from './source.js';
import { Tiles } from './tiles.js';

/** Rays along each side of a pixel: of a still view, and of one that moves on a slow device. */
const [FINE, QUICK] = [2, 1];

/** The sphere on a canvas, by the renderer's own shaders. */
export class Picture {
  readonly canvas: HTMLCanvasElement;
  readonly #layout: TilesLayout;
  readonly #context: GlContext;
  readonly #tiles: Tiles;
  readonly #programs = new Map<string, DrawCommand>();
  readonly #fixed: Readonly<Record<string, unknown>>;

  /** @throws WorkError where the browser cannot draw */
  constructor(
    canvas: HTMLCanvasElement,
    layout: TilesLayout,
    source: TileSource,
    changed: () => void,
  ) {
    this.canvas = canvas;
    this.#layout = layout;
    this.#context = openCanvas(canvas);
    this.#tiles = new Tiles(this.#context.gl, layout, source, changed);
    const { width, height } = levelOf(layout, 0);
    // The page that tiles.glsl stands in for, large enough for all levels.
    const page = { width: 2 * width, height: 2 * height };
    const [tile, tile1] = [levelOf(layout, 0), levelOf(layout, 1)];
    this.#fixed = {
      ...layoutUniforms({ width, height, tile, tile1, page }),
      background: [0, 0, 0, 1],
      tilePage: [page.width, page.height],
      jitter: [0, 0],
      exposure: 1,
      ditherMask: ditherTexture(this.#context.regl),
      ...this.#tiles.uniforms,
    };
  }

  get isSoftware(): boolean {
    return this.#context.info.software;
  }

  open(): Promise<void> {
    return this.#tiles.open();
  }

  /** Draws the whole canvas. @returns whether all detail that it needs was there */
  draw(camera: Camera, quick: boolean): boolean {
    const { width, height } = this.canvas;
    const tiles = this.#wanted(camera);
    this.#tiles.want(tiles);
    const samples = quick ? QUICK : FINE;
    const projections = camera.lenses.map(({ projection }) => projection) as unknown as [string];
    const key = [...projections, samples].join(' ');
    const program = this.#programs.get(key) ?? this.#link(projections, samples);
    this.#programs.set(key, program);
    program({ ...uniformsOf(camera), frameSize: [width, height] });
    return this.#tiles.has(tiles);
  }

  /** The tiles of a frame, coarser ones where there is no room for the finest. */
  #wanted(camera: Camera) {
    for (let bias = 0; ; bias++) {
      const tiles = tilesFor(this.#layout, camera, this.canvas, bias);
      if (tiles.length <= this.#tiles.room || bias >= this.#layout.levels) return tiles;
    }
  }

  #link(projections: [string] | [string, string], samples: number): DrawCommand {
    const { levels } = this.#layout;
    const shaders = assembleFrame(
      {
        ...{ projections, samples, exact: false, magnified: true, minified: true, onePage: false },
        ball: undefined,
        rays: 'alone',
        ...{ expose: false, background: 'colour' as const },
        master: { tilesX: 1, tilesY: 1, levels, depth: 8, lookup: 'page/tiles.glsl' },
      },
      readShader,
    );
    const moving = ['frameSize', 'rotation', 'fromHalfExtent', 'fromParams'];
    const morphing = projections.length === 2 ? ['toHalfExtent', 'toParams', 'lensMix'] : [];
    const given = [...moving, ...morphing].map((name) => [
      name,
      (_: unknown, props: Record<string, unknown>) => props[name],
    ]);
    return this.#context.regl({
      ...shaders,
      attributes: { corner: COVER },
      count: 3,
      framebuffer: null,
      uniforms: { ...this.#fixed, ...Object.fromEntries(given) },
    });
  }
}

/** The canvas's first row is its bottom one, a frame's its top: the picture is turned upside down. */
function uniformsOf({ rotation, lenses: [from, to], mix }: Camera) {
  const upright = ({ halfExtent: [x, y] }: Lens) => [x, -y];
  return {
    rotation,
    fromHalfExtent: upright(from),
    fromParams: paramsOf(from),
    ...(to === undefined
      ? {}
      : { toHalfExtent: upright(to), toParams: paramsOf(to), lensMix: mix }),
  };
}

function paramsOf({ projection, params }: Lens): number[] {
  const values = findLens(projection).params.map((param) => params[param.name] ?? param.default);
  return [...values, 0, 0, 0, 0].slice(0, 4);
}
