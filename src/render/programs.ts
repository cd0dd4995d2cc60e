import type { DrawCommand, Framebuffer, Texture2D } from 'regl';
import { type Ball, linearTint } from '../camera/ball.js';
import type { Camera, Lens } from '../camera/types.js';
import { findLens } from '../projection/index.js';
import type { BallLook } from '../scene/types.js';
import { assembleFrame, isDithered } from './assemble.js';
import type { GlContext } from './context.js';
import { COVER } from './cover.js';
import type { FrameOptions } from './frame.js';
import type { MasterTexture } from './masterTexture.js';
import { SAMPLING } from './quality.js';
import type { Region } from './regions.js';
import type { ShaderReader } from './shaders.js';

export interface Draw {
  readonly target: Framebuffer;
  /** Rays along each side of a pixel; 0 for as many as it asks for. */
  readonly samples: number;
  /** The parts that make up the frame. */
  readonly regions: readonly Region[];
  /** Put linear light, added to what there is, into the target rather than encoded colour. */
  readonly expose: boolean;
  /** With `expose`: the light so far, another buffer than the target. */
  readonly earlier?: Framebuffer;
  /** By which all rays are moved, in parts of their distance: -0.5 to 0.5. */
  readonly jitter?: readonly [number, number];
  /** The share of its source's light that this draw brings, and of the frame's that its source brings. */
  readonly exposure?: number;
  readonly sourceShare?: number;
}

/** The programs for one kind of frames, each linked when a frame first needs it. */
export interface Programs {
  draw(camera: Camera, draw: Draw): void;
  destroy(): void;
}

export function createPrograms(
  { regl }: GlContext,
  master: MasterTexture,
  options: FrameOptions,
  ditherMask: Texture2D,
  read: ShaderReader,
): Programs {
  const commands = new Map<string, DrawCommand>();
  const { exact } = SAMPLING[options.quality];

  const link = (
    projections: [string] | [string, string],
    { samples, expose }: Draw,
    { magnified, minified, tile }: Pick<Region, 'magnified' | 'minified' | 'tile'>,
    ball: BallLook['kind'] | undefined,
  ): DrawCommand => {
    const { layout, depth } = master;
    const background = options.background.kind;
    const frag = assembleFrame(
      {
        projections,
        samples,
        exact,
        magnified,
        minified,
        onePage: tile !== undefined,
        ball,
        expose,
        background,
        master: { ...layout, depth },
      },
      read,
    );
    return regl({
      frag,
      vert: read('cover.vert'),
      attributes: { corner: COVER },
      count: 3,
      depth: { enable: false },
      scissor: { enable: true, box: prop('box') },
      framebuffer: prop('target'),
      uniforms: {
        ...fixedUniforms(master, options, tile),
        ...(isDithered({ samples, expose, ball }) ? { ditherMask } : {}),
        ...(expose ? { earlierLight: prop('earlier') } : {}),
        ...Object.fromEntries(MOVING.map((name) => [name, prop(name)])),
        ...(projections.length === 2
          ? Object.fromEntries(MOVING_TO.map((name) => [name, prop(name)]))
          : {}),
        ...(ball === undefined ? {} : Object.fromEntries(BALL.map((name) => [name, prop(name)]))),
      },
    });
  };

  return {
    draw(camera, draw) {
      const projections = camera.lenses.map((lens) => lens.projection) as [string];
      const props = { jitter: [0, 0], exposure: 1, sourceShare: 1, ...draw, ...propsOf(camera) };
      for (const { magnified, minified, tile, ball: near, ...box } of draw.regions) {
        const needs = { magnified, minified, tile };
        const ball = near ? camera.ball?.look.kind : undefined;
        const key = [...projections, draw.samples, draw.expose, ...Object.values(needs), ball];
        const command = commands.get(key.join(' ')) ?? link(projections, draw, needs, ball);
        commands.set(key.join(' '), command);
        command({ ...props, box });
      }
    },
    // regl frees programs with its context.
    destroy: () => commands.clear(),
  };
}

const prop = (name: string) => (_: unknown, props: Record<string, unknown>) => props[name] as never;

const MOVING = ['rotation', 'fromHalfExtent', 'fromParams', 'jitter', 'exposure', 'sourceShare'];
const MOVING_TO = ['toHalfExtent', 'toParams', 'lensMix'];
const BALL = ['ball', 'ballIndex', 'ballTint'];

/** With `tile`, only that one's page is bound. */
function fixedUniforms(
  master: MasterTexture,
  options: FrameOptions,
  tile: number | undefined,
): object {
  const { layout, pages, lowPages = [], blurred } = master;
  const { background } = options;
  const colour = background.kind === 'colour' ? background.colour : [0, 0, 0, 255];
  const isOneOfMany = tile !== undefined && pages.length > 1;
  const named = (name: string, all: readonly Texture2D[]) => {
    const bound = isOneOfMany ? all.slice(tile, tile + 1) : all;
    return Object.fromEntries(bound.map((texture, index) => [`${name}${index}`, texture]));
  };
  return {
    frameSize: [options.width, options.height],
    background: colour.map((value) => value / 255),
    masterSize: [layout.width, layout.height],
    masterTile: [layout.tile.width, layout.tile.height],
    masterTile1: [layout.tile1.width, layout.tile1.height],
    masterPage: [layout.page.width, layout.page.height],
    ...(isOneOfMany
      ? { masterOnlyTile: [tile % layout.tilesX, Math.floor(tile / layout.tilesX)] }
      : {}),
    ...named('masterPage', pages),
    ...named('masterLowPage', lowPages),
    ...(background.kind === 'blur' ? { blurredMaster: blurred() } : {}),
  };
}

function propsOf({ rotation, lenses, mix, ball }: Camera): object {
  const [from, to] = lenses;
  return {
    rotation,
    fromHalfExtent: from.halfExtent,
    fromParams: paramVector(from),
    ...(to === undefined
      ? {}
      : { toHalfExtent: to.halfExtent, toParams: paramVector(to), lensMix: mix }),
    ...(ball === undefined ? {} : ballProps(ball)),
  };
}

const ballProps = ({ direction, distance, look }: Ball): object => ({
  ball: [...direction, distance],
  ballIndex: look.index,
  ballTint: linearTint(look),
});

/** A lens's parameters in the order in which its GLSL function takes them, then zeros. */
function paramVector({ projection, params }: Lens): number[] {
  const values = findLens(projection).params.map(
    ({ name, default: usual }) => params[name] ?? usual,
  );
  return [...values, 0, 0, 0, 0].slice(0, 4);
}
