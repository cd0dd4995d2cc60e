import { readFileSync } from 'node:fs';
import type { DrawCommand, Framebuffer2D, Regl, Texture2D } from 'regl';
import { GRAIN_SIZE, makeGrain } from './grain.js';
import type { Level } from './levels.js';
import { Mesh } from './mesh.js';
import { SUN_DIRECTION, type Vec3 } from './place.js';
import { sunlightAt } from './shade.js';
import type { Thing } from './things.js';

const SHADERS = new URL('../../shaders/demo/', import.meta.url);
const source = (name: string) => readFileSync(new URL(name, SHADERS), 'utf8');

/** A window of the sphere in radians: first longitude and latitude, and their spans. */
export type Tile = readonly [longitude: number, latitude: number, width: number, height: number];

export interface View {
  readonly eye: Vec3;
  readonly tile: Tile;
  readonly sight: Texture2D;
  /** Which part of the sight texture the tile covers: offset and size, 0 to 1. */
  readonly sightWindow: readonly [number, number, number, number];
  readonly things: readonly Thing[];
  readonly mirrored: boolean;
}

export interface Passes {
  drawSky(target: Framebuffer2D): void;
  drawView(target: Framebuffer2D, view: View, sky: Framebuffer2D, mirror: Framebuffer2D): void;
  /** Brings `perSide` x `perSide` samples to each of the `side` x `side` pixels of the target. */
  develop(
    target: Framebuffer2D,
    samples: Framebuffer2D,
    side: number,
    perSide: number,
    origin: readonly [number, number],
  ): void;
  destroy(): void;
}

/** Uploads the land and the things, and compiles the three drawing passes. */
export function makePasses(regl: Regl, levels: readonly Level[], things: readonly Thing[]): Passes {
  const grain = regl.texture({
    data: makeGrain(),
    width: GRAIN_SIZE,
    height: GRAIN_SIZE,
    wrap: 'repeat',
    mag: 'linear',
    min: 'linear mipmap linear',
  });
  const map = (data: Uint8ClampedArray, size: number) =>
    regl.texture({ data, width: size, height: size, mag: 'linear', min: 'linear' });
  const maps = levels.map(({ cover, light, size }) => ({
    cover: map(cover, size),
    light: map(light, size),
  }));
  const corners = new Map(things.map((thing) => [thing, regl.buffer(thing.corners)]));
  const sunlight = new Map(
    things.map((thing) => [thing, regl.buffer(sunlit(thing, levels[0] as Level))]),
  );
  const corner = regl.buffer([-1, -1, 1, -1, -1, 1, 1, 1]);
  const prop = (name: string) => regl.prop<Record<string, never>, string>(name);
  const full = (frag: string, uniforms: object): DrawCommand =>
    regl({
      vert: source('full.vert'),
      frag,
      attributes: { corner },
      uniforms: uniforms as never,
      count: 4,
      primitive: 'triangle strip',
      depth: { enable: false },
      framebuffer: prop('target'),
    });

  const skyPass = full(joined('rays.glsl', 'air.glsl', 'sky.frag'), {
    sun: SUN_DIRECTION,
    grain,
    tile: [0, 0, 1, 1],
  });
  const landMaps = Object.fromEntries(
    maps.flatMap(({ cover, light }, i) => [
      [`cover${i}`, cover],
      [`light${i}`, light],
    ]),
  );
  const landPass = full(joined('rays.glsl', 'air.glsl', 'land.frag'), {
    ...landMaps,
    sun: SUN_DIRECTION,
    grain,
    halves: levels.map(({ half }) => half),
    ...Object.fromEntries(
      ['eye', 'tile', 'sight', 'sightWindow', 'sky', 'mirror', 'mirrored'].map((name) => [
        name,
        prop(name),
      ]),
    ),
  });
  const stride = Mesh.STRIDE * 4;
  const attribute =
    (offset: number) =>
    (_: unknown, { buffer }: { buffer: never }) => ({ buffer, offset: offset * 4, stride });
  const thingPass = regl({
    vert: source('thing.vert'),
    frag: joined('air.glsl', 'thing.frag'),
    attributes: {
      position: attribute(0),
      normal: attribute(3),
      colour: attribute(6),
      glow: attribute(9),
      sunlight: prop('sunlight'),
    } as never,
    uniforms: {
      sun: SUN_DIRECTION,
      grain,
      ...Object.fromEntries(
        ['eye', 'tile', 'sight', 'sightWindow', 'centre'].map((name) => [name, prop(name)]),
      ),
    } as never,
    count: prop('count'),
    framebuffer: prop('target'),
    cull: { enable: false },
  });
  const developPass = full(
    source('develop.frag'),
    Object.fromEntries(
      ['samples', 'outputSize', 'perSide', 'origin'].map((name) => [name, prop(name)]),
    ),
  );

  return {
    drawSky: (target) => skyPass({ target }),
    drawView(target, view, sky, mirror) {
      landPass({ ...view, target, sky, mirror, mirrored: view.mirrored ? 1 : 0 });
      if (view.things.length === 0) return;
      regl.clear({ framebuffer: target, depth: 1 });
      thingPass(
        view.things.map((thing) => ({
          ...view,
          target,
          centre: thing.longitude,
          count: thing.count,
          buffer: corners.get(thing),
          sunlight: sunlight.get(thing),
        })),
      );
    },
    develop(target, samples, side, perSide, origin) {
      developPass({ target, samples, perSide, origin, outputSize: [side, side] });
    },
    destroy() {
      for (const { cover, light } of maps) {
        cover.destroy();
        light.destroy();
      }
      for (const buffer of [...corners.values(), ...sunlight.values()]) buffer.destroy();
      grain.destroy();
      corner.destroy();
    },
  };
}

/** How much sun the land lets through to each corner. */
function sunlit({ corners, count }: Thing, level: Level): Float32Array {
  return Float32Array.from({ length: count }, (_, i) => {
    const [x, y, z] = corners.subarray(i * Mesh.STRIDE, i * Mesh.STRIDE + 3) as unknown as Vec3;
    return sunlightAt(level, x, y, z);
  });
}

function joined(...names: readonly string[]): string {
  return `precision highp float;\n${names.map(source).join('\n')}`;
}
