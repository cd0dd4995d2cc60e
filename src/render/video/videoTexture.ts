import type { Texture2D } from 'regl';
import { encodeSrgb } from '../../colour.js';
import { WorkError } from '../../errors.js';
import { type Depth, newSamples, pixels } from '../../master/pixels.js';
import type { PlaneLayout } from '../../master/video/layout.js';
import type { VideoColour } from '../../master/video/types.js';
import { type AtlasLayout, layOut, type Size } from '../atlas.js';
import { blurSphere } from '../blur.js';
import type { GlContext } from '../context.js';
import { highPage, LOW_PAGE } from '../deep.js';
import { type MasterTexture, OTHER_UNITS } from '../masterTexture.js';
import { createLevels } from './levels.js';
import { everything, isWithin, type Need, together } from './need.js';
import { createPlanes } from './planes.js';

/** A master on the GPU whose picture changes. */
export interface VideoTexture extends MasterTexture {
  /**
   * Makes a decoded frame the master's picture.
   *
   * @param need the part that will be looked up; by default everything
   */
  show(frame: Uint8Array, need?: Need): void;
  /** Adds to the picture shown last what is needed of it besides. */
  complete(need: Need): void;
}

export interface VideoPicture extends Size {
  readonly layout: PlaneLayout;
  readonly colour: VideoColour;
}

/** The largest size, the video's own or halved some times, at which the device holds its frames. */
export function videoSize({ info }: GlContext, { width, height }: Size, depth: Depth): Size {
  for (let size = { width, height }; size.height > 1; size = halfOf(size)) {
    if (size.width + 2 <= info.maxTextureSize && layOutVideo(info, size, depth)) return size;
  }
  throw new WorkError(`A video of ${width}x${height} does not fit this graphics device.`);
}

/** Even sides, so that chroma comes out whole. */
export const halfOf = ({ width, height }: Size): Size => ({
  width: 2 * Math.ceil(width / 4),
  height: 2 * Math.ceil(height / 4),
});

const layOutVideo = (info: GlContext['info'], { width, height }: Size, depth: Depth) =>
  layOut(
    width,
    height,
    info.maxTextureSize,
    Math.floor((info.maxTextureUnits - OTHER_UNITS) / (depth / 8)),
  );

/** @param depth 16 to keep what frames of more than 8 bits hold */
export function createVideoTexture(
  context: GlContext,
  picture: VideoPicture,
  depth: Depth,
): VideoTexture {
  const { regl, gl } = context;
  const layout = layOutVideo(context.info, picture, depth) as AtlasLayout;
  const makePages = (kind: object) =>
    Array.from({ length: layout.tilesX * layout.tilesY }, () => {
      const color = regl.texture({ ...layout.page, ...kind });
      return { color, target: regl.framebuffer({ color, depthStencil: false }) };
    });
  const high = makePages({ ...highPage(depth), format: 'rgba' });
  const low = depth === 16 ? makePages(LOW_PAGE) : [];
  const planes = createPlanes(context, picture.layout, picture.colour, picture);
  const targets = { high: high.map((page) => page.target), low: low.map((page) => page.target) };
  const levels = createLevels(context, layout, planes, targets);
  let blurred: Texture2D | undefined;
  const all = everything(layout);
  let made = all;
  const make = (need: Need) => {
    levels.make(need);
    made = need;
    // The texture stays the same one: programs hold on to it.
    blurred?.subimage(blurNow());
  };

  const blurNow = () => ({ ...blurSphere(coarsest()), format: 'rgb' }) as const;
  const coarsest = () => {
    const { size, light } = levels.readCoarsest();
    const codes = newSamples(8, size.width * size.height * 3);
    for (let i = 0; i < codes.length; i++) {
      codes[i] = Math.round(255 * encodeSrgb(light[Math.floor(i / 3) * 4 + (i % 3)]!));
    }
    return pixels(size.width, size.height, codes);
  };
  const destroy = () => {
    for (const { color, target } of [...high, ...low]) {
      target.destroy();
      color.destroy();
    }
    for (const part of [planes, levels, blurred]) part?.destroy();
  };
  if (gl.getError() === gl.OUT_OF_MEMORY) {
    destroy();
    throw new WorkError(
      `The graphics device has no memory for a video of ${picture.width}x${picture.height}: make it smaller first.`,
    );
  }
  return {
    layout,
    depth,
    pages: high.map((page) => page.color),
    ...(low.length > 0 ? { lowPages: low.map((page) => page.color) } : {}),
    blurred() {
      if (blurred === undefined) make(all);
      blurred ??= regl.texture({ ...blurNow(), mag: 'linear', wrapS: 'repeat' });
      return blurred;
    },
    show(frame, need = all) {
      planes.upload(frame);
      make(blurred === undefined ? need : all);
    },
    complete(need) {
      if (!isWithin(need, made)) make(together(need, made));
    },
    destroy,
  };
}
