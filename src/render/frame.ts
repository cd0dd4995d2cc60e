import type { Framebuffer2D, Texture2D } from 'regl';
import type { Camera } from '../camera/types.js';
import type { PixelFormat } from '../encode/types.js';
import type { Background } from '../scene/types.js';
import type { GlContext } from './context.js';
import { createDeveloper } from './develop.js';
import { ditherTexture } from './dither.js';
import type { MasterTexture } from './masterTexture.js';
import { createPrograms } from './programs.js';
import { type Quality, SAMPLING, texelsBeforeShrinking } from './quality.js';
import { createReader } from './read.js';
import { type Parts, partsOf, samplesOf } from './regions.js';
import { readShader, type ShaderReader } from './shaders.js';
import { createSurveyor } from './survey.js';

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

/** One of the pictures that frames are drawn from or mixed of. */
export interface Source extends Pick<FrameOptions, 'background' | 'sharpness'> {
  readonly master: MasterTexture;
}

/** What one source adds to a frame. */
export interface Layer {
  /** Its index among the renderer's sources. */
  readonly source: number;
  /** At least one: the instants of its exposure. */
  readonly cameras: readonly Camera[];
  /** Its share of the frame's light; those of a frame's layers make 1. */
  readonly share: number;
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
   * Links and compiles what frames like this one are drawn with, while their masters are still on their way:
   * drawing them then begins at once. What is drawn is overwritten by the next frame.
   */
  warm(layers: readonly Layer[]): void;
  /** Draws one frame of several sources, mixed in linear light; of one alone it is what `draw` draws. */
  mix(layers: readonly Layer[]): void;
  /**
   * The frame drawn last, in `format`'s layout (`bytesPerFrame` bytes). The planar formats take even sides;
   * those of more than 8 bits hold more than 8 bits only from a deep renderer.
   */
  read(format: PixelFormat, into: Uint8Array): void;
  /** The frame drawn last, encoded; its first row is the frame's top. */
  readonly frame: Texture2D;
  destroy(): void;
}

export const createFrameRenderer = (
  context: GlContext,
  master: MasterTexture,
  { background, sharpness = 0, ...frame }: FrameOptions,
  readFile: ShaderReader = readShader,
): FrameRenderer =>
  createMixingRenderer(context, [{ master, background, sharpness }], frame, readFile);

/** A renderer of frames that may show several sources at once, as in a dissolve. */
export function createMixingRenderer(
  context: GlContext,
  sources: readonly Source[],
  frame: Omit<FrameOptions, 'background' | 'sharpness'>,
  readFile: ShaderReader = readShader,
): FrameRenderer {
  const { regl } = context;
  const { width, height, deep = false } = frame;
  const sampling = SAMPLING[frame.quality];
  // Where a graphics card packs the frame it takes the means of four pixels in one lookup.
  const filter = context.info.software ? 'nearest' : 'linear';
  const color = regl.texture({
    width,
    height,
    format: 'rgba',
    type: deep ? 'float' : 'uint8',
    mag: filter,
    min: filter,
  });
  const target = regl.framebuffer({ color, depthStencil: false });
  // Made for what is dithered only: it takes a moment.
  let mask: Texture2D | undefined;
  const ditherMask = () => {
    mask ??= ditherTexture(regl);
    return mask;
  };
  const programs = sources.map((source) =>
    createPrograms(context, source.master, { ...frame, ...source }, ditherMask, readFile),
  );
  const developer = createDeveloper(context, { width, height, deep }, ditherMask, readFile);
  const reader = createReader(context, target as Framebuffer2D, { width, height, deep }, readFile);

  const whole = {
    ...{ x: 0, y: 0, width, height },
    ...{ magnified: sampling.cubic, minified: true, smooth: false, ball: true },
  };
  const survey = createSurveyor(width, height);
  const partsFor = (
    camera: Camera,
    { master }: Source,
    samples: number,
    exposures: number,
  ): Parts => {
    // A graphics card skips by itself what a pixel does not need.
    if (!context.info.software) return { regions: [whole], patches: [] };
    const unshrunk = texelsBeforeShrinking(samples, exposures);
    return partsOf(camera, survey(camera), width, height, master.layout, { ...sampling, unshrunk });
  };

  const mix = (layers: readonly Layer[], only = (parts: Parts) => parts): void => {
    const sharpness = layers.reduce(
      (sum, { source, share }) => sum + share * (sources[source]!.sharpness ?? 0),
      0,
    );
    const [{ source, cameras }] = layers as [Layer];
    if (layers.length === 1 && cameras.length === 1 && !deep && sharpness === 0) {
      const [camera] = cameras as [Camera];
      const { samples } = sampling;
      const parts = only(partsFor(camera, sources[source]!, samples, 1));
      programs[source]!.draw(camera, { target, samples, parts, expose: false });
      return;
    }
    developer.clear();
    for (const layer of layers) expose(layer);
    developer.develop(target, sharpness);
  };

  /** Adds a layer's exposures to the light that the developer gathers. */
  const expose = ({ source, cameras, share }: Layer): void => {
    const samples = cameras.length === 1 ? sampling.samples : sampling.samplesInMotion;
    const exposure = 1 / cameras.length;
    for (const [index, instant] of cameras.entries()) {
      const jitter = cameras.length === 1 ? STILL : jitterOf(index);
      const parts = partsFor(instant, sources[source]!, samples, cameras.length);
      developer.expose((light, earlier) => {
        const exposing = { target: light, earlier, expose: true, exposure, sourceShare: share };
        programs[source]!.draw(instant, { ...exposing, samples, parts, jitter });
      });
    }
  };

  return {
    draw: (cameras) => mix([{ source: 0, cameras, share: 1 }]),
    mix: (layers) => mix(layers),
    warm: (layers) => {
      // Exposures all have the same programs, which would hardly be waited for.
      if (layers.length === 1 && layers[0]!.cameras.length === 1) mix(layers, samplesOf);
    },
    read: reader.read,
    frame: color,
    destroy() {
      for (const part of [reader, developer, ...programs, mask, target, color]) part?.destroy();
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
