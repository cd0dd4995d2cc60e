import type { PixelFormat } from '../encode/types.js';
import { type Blender, createBlender } from '../overlay/blend.js';
import { opacityAt } from '../overlay/opacity.js';
import type { OpenOverlay } from '../overlay/open.js';
import type { Margins } from '../overlay/place.js';
import { safeOf } from '../scene/safe.js';
import type { Sequence, SequenceOutput } from '../scene/types.js';
import { shotsAt } from '../timeline/shots.js';

/** Puts titles and marks over the frames of one output. */
export interface Painter {
  /** @param seconds of the whole clip */
  paint(frame: Uint8Array, seconds: number): void;
}

export interface Overlays {
  painterFor(output: SequenceOutput, format: PixelFormat): Promise<Painter>;
}

/** The least margin of what asks for none, as a share of the frame's shorter side. */
const USUAL_MARGIN = 0.05;

/**
 * Opens the overlays of all shots.
 *
 * @throws InputError when a font or picture will not do
 */
export async function openAllOverlays(scene: Sequence): Promise<Overlays> {
  const shots = await Promise.all(
    scene.shots.map(async ({ overlays, file }) => {
      if (overlays.length === 0) return [];
      // What reads fonts takes its time to load.
      const { openOverlays } = await import('../overlay/open.js');
      return openOverlays(overlays, file);
    }),
  );
  return {
    async painterFor(output, format) {
      const layers = await Promise.all(
        shots.map((list, shot) => {
          const { safe } = scene.shots[shot]!.outputs[output.index]!;
          const margins = marginsOf(safe === undefined ? output : { ...output, safe });
          return Promise.all(list.map((open) => layerOf(open, output, margins, format)));
        }),
      );
      return { paint: (frame, seconds) => paint(frame, seconds, scene, layers) };
    },
  };
}

interface Layer {
  readonly overlay: OpenOverlay['overlay'];
  readonly blender: Blender;
}

async function layerOf(
  { overlay, rasterFor }: OpenOverlay,
  { width, height }: SequenceOutput,
  margins: Margins,
  format: PixelFormat,
): Promise<Layer> {
  const raster = await rasterFor({ width, height }, margins);
  return { overlay, blender: createBlender(raster, { format, width, height }) };
}

/** Within the safe area, and never at the very edge. */
export function marginsOf(frame: Parameters<typeof safeOf>[0]): Margins {
  const { width, height } = frame;
  const { top, bottom, left, right } = safeOf(frame);
  const least = USUAL_MARGIN * Math.min(width, height);
  return {
    top: Math.max(least, top * height),
    bottom: Math.max(least, bottom * height),
    left: Math.max(least, left * width),
    right: Math.max(least, right * width),
  };
}

/** In a transition the overlays of both shots show, as much as their shots do. */
function paint(
  frame: Uint8Array,
  seconds: number,
  scene: Sequence,
  layers: readonly (readonly Layer[])[],
): void {
  for (const { shot, at, share } of shotsAt(scene, seconds)) {
    for (const { overlay, blender } of layers[shot]!) {
      const opacity = share * opacityAt(overlay, at, scene.shots[shot]!.duration);
      if (opacity > 0) blender.over(frame, opacity);
    }
  }
}
