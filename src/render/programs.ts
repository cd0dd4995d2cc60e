import type { DrawCommand, Framebuffer, Texture2D } from 'regl';
import { type Ball, linearTint } from '../camera/ball.js';
import type { Camera, Lens } from '../camera/types.js';
import { findLens } from '../projection/index.js';
import type { BallLook } from '../scene/types.js';
import { assembleFrame, isDithered } from './assemble.js';
import { layoutUniforms } from './atlas.js';
import type { GlContext } from './context.js';
import { COVER } from './cover.js';
import type { FrameOptions } from './frame.js';
import type { MasterTexture } from './masterTexture.js';
import { createMesh, type Mesh } from './mesh.js';
import { SAMPLING } from './quality.js';
import type { Needs, Parts } from './regions.js';
import type { ShaderReader } from './shaders.js';

export interface Draw {
  readonly target: Framebuffer;
  /** Rays along each side of a pixel; 0 for as many as it asks for. */
  readonly samples: number;
  readonly parts: Parts;
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
  { regl, info }: GlContext,
  master: MasterTexture,
  options: FrameOptions,
  ditherMask: () => Texture2D,
  read: ShaderReader,
): Programs {
  const commands = new Map<string, DrawCommand>();
  const { exact } = SAMPLING[options.quality];
  const meshes = new Map<number, Mesh>();

  const link = (
    projections: [string] | [string, string],
    { samples, expose }: Draw,
    { magnified, minified, smooth, tile }: Omit<Needs, 'ball'>,
    ball: BallLook['kind'] | undefined,
    isMesh: boolean,
  ): DrawCommand => {
    const { layout, depth } = master;
    const background = options.background.kind;
    const shaders = assembleFrame(
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
        // In software a test that pixels pass differently costs more than it saves.
        rays: isMesh ? 'meshed' : smooth ? 'stepped' : info.software ? 'alone' : 'chosen',
        master: { ...layout, depth },
      },
      read,
    );
    return regl({
      ...shaders,
      ...(isMesh
        ? { attributes: { corner: prop('corners') }, elements: prop('elements') }
        : {
            attributes: { corner: COVER },
            count: 3,
            scissor: { enable: true, box: prop('box') },
          }),
      depth: { enable: false },
      framebuffer: prop('target'),
      uniforms: {
        ...fixedUniforms(master, options, tile),
        ...(isDithered({ samples, expose, ball }) ? { ditherMask: ditherMask() } : {}),
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
      const commandFor = ({ ball: near, ...needs }: Needs, isMesh: boolean) => {
        const ball = near ? camera.ball?.look.kind : undefined;
        const kind = [...Object.values(needs), ball, isMesh];
        const key = [...projections, draw.samples, draw.expose, ...kind].join(' ');
        const command = commands.get(key) ?? link(projections, draw, needs, ball, isMesh);
        commands.set(key, command);
        return command;
      };
      for (const { magnified, minified, smooth, tile, ball, ...box } of draw.parts.regions) {
        commandFor({ magnified, minified, smooth, tile, ball }, false)({ ...props, box });
      }
      for (const { blocks, cells, ...needs } of draw.parts.patches) {
        const mesh = meshes.get(cells) ?? createMesh(regl, options.width, options.height, cells);
        meshes.set(cells, mesh);
        commandFor(needs, true)({ ...props, ...mesh.of(blocks) });
      }
    },
    // regl frees programs with its context.
    destroy() {
      commands.clear();
      for (const mesh of meshes.values()) mesh.destroy();
    },
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
    ...layoutUniforms(layout),
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
