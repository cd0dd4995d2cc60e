import sharp from 'sharp';
import { marginsOf } from '../flow/overlays.js';
import { openOverlays } from '../overlay/open.js';
import type { Scene } from '../scene/types.js';
import type { OverlayState, ShapeState } from './protocol.js';

/** The scene's titles and marks as pictures, where they lie in a frame. @throws InputError */
export async function overlaysFor(scene: Scene, shape: ShapeState): Promise<OverlayState[]> {
  const { name, width, height, safe } = shape;
  const margins = marginsOf({ shape: name, width, height, safe });
  const opened = await openOverlays(scene.overlays, scene.file);
  return Promise.all(
    opened.map(async ({ overlay, rasterFor }): Promise<OverlayState> => {
      const raster = await rasterFor({ width, height }, margins);
      const raw = { width: raster.width, height: raster.height, channels: 4 } as const;
      const png = await sharp(raster.rgba, { raw }).png().toBuffer();
      const { from, to, fade, opacity } = overlay;
      return {
        ...{ from, to, fade, opacity },
        picture: `data:image/png;base64,${png.toString('base64')}`,
        left: raster.left / width,
        top: raster.top / height,
        width: raster.width / width,
        height: raster.height / height,
      };
    }),
  );
}
