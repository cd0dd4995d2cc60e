import type { Framebuffer2D } from 'regl';
import type { Camera } from '../camera/types.js';
import type { PixelFormat } from '../encode/types.js';
import type { Background } from '../scene/types.js';
import type { GlContext } from './context.js';
import { createDeveloper } from './develop.js';
import { ditherTexture } from './dither.js';
import type { MasterTexture } from './masterTexture.js';
import { createPrograms } from './programs.js';
import { type Quality, SAMPLING } from './quality.js';
import { createReader } from './read.js';
import { regionsOf } from './regions.js';
import { readShader, type ShaderReader } from './shaders.js';

export interface FrameOptions {
  /** Pixels. */
  readonly width: number;
  readonly height: number;
  readonly background: Background;
  readonly quality: Quality;
  /** Keep more than 8 bits a channel to the end, for the formats that have them; false by default. */
  readonly deep?: boolean;
  /** How much a frame is sharpened after it was drawn: 0 (default) to 1. */
  readonly sharpness?: number;
}

/** Draws frames of one size and reads them back. All formats show the same pixels. */
export interface FrameRenderer {
  /**
   * Draws one frame: of one instant, or the mean, in linear light, of all instants of an exposure.
   *
   * @param cameras at least one
   */
  draw(cameras: readonly Camera[]): void;
  /**
   * The frame drawn last, in `format`'s layout (`bytesPerFrame` bytes). The planar formats take even sides;
   * those of more than 8 bits hold more than 8 bits only from a deep renderer.
   */
  read(format: PixelFormat, into: Uint8Array): void;
  destroy(): void;
}

export function createFrameRenderer(
  context: GlContext,
  master: MasterTexture,
  options: FrameOptions,
  readFile: ShaderReader = readShader,
): FrameRenderer {
  const { regl } = context;
  const { width, height, deep = false, sharpness = 0 } = options;
  const sampling = SAMPLING[options.quality];
  // Linear, since packing takes the mean of neighbours by looking between them.
  const color = regl.texture({
    width,
    height,
    format: 'rgba',
    type: deep ? 'float' : 'uint8',
    mag: 'linear',
    min: 'linear',
  });
  const target = regl.framebuffer({ color, depthStencil: false });
  const mask = ditherTexture(regl);
  const programs = createPrograms(context, master, options, mask, readFile);
  const developer = createDeveloper(context, { width, height, deep, sharpness }, mask, readFile);
  const reader = createReader(context, target as Framebuffer2D, { width, height, deep }, readFile);

  const whole = { x: 0, y: 0, width, height, magnified: sampling.cubic, minified: true };
  const regionsFor = (camera: Camera) => {
    // A graphics card skips by itself what a pixel does not need.
    if (!context.info.software) return [whole];
    const samples = Math.max(1, sampling.samples);
    const regions = regionsOf(camera, width, height, master.layout, samples);
    return sampling.cubic ? regions : regions.map((part) => ({ ...part, magnified: false }));
  };

  return {
    draw(cameras) {
      const [camera] = cameras as [Camera];
      if (cameras.length === 1 && !deep && sharpness === 0) {
        const { samples } = sampling;
        const regions = regionsFor(camera);
        programs.draw(camera, { target, samples, regions, expose: false });
        return;
      }
      const samples = cameras.length === 1 ? sampling.samples : sampling.samplesInMotion;
      const exposure = 1 / cameras.length;
      developer.expose(cameras.length, (index, light, earlier) => {
        const jitter = cameras.length === 1 ? STILL : jitterOf(index);
        const instant = cameras[index]!;
        const regions = regionsFor(instant);
        const exposing = { target: light, earlier, expose: true, exposure };
        programs.draw(instant, { ...exposing, samples, regions, jitter });
      });
      developer.develop(target);
    },
    read: reader.read,
    destroy() {
      for (const part of [reader, developer, programs, mask, target, color]) part.destroy();
    },
  };
}

const STILL = [0, 0] as const;

/**
 * Moves each exposure's rays within the pixel. The golden ratio and the root of two keep time and either
 * side evenly spread together, whichever way the picture moves and however many exposures there are.
 */
function jitterOf(index: number): readonly [number, number] {
  return [((index * 0.6180339887) % 1) - 0.5, ((index * Math.SQRT2) % 1) - 0.5];
}
