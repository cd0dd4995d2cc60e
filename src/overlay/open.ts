import { InputError, type Problem } from '../errors.js';
import { type FontFile, openFont, UnfitFont } from '../lettering/fontFile.js';
import { houseFontFile } from '../lettering/house.js';
import type { Overlay } from '../scene/types.js';
import { listed } from '../scene/words.js';
import { checkImage, imageRaster, UnfitImage } from './image.js';
import { alignmentAt, cornerOf, type Margins } from './place.js';
import { textRaster } from './text.js';
import type { PlacedRaster } from './types.js';

/** An overlay whose files were read. */
export interface OpenOverlay {
  readonly overlay: Overlay;
  /** As it lies in a frame of that size; `margins` are what its own margin stands in for. */
  rasterFor(frame: FrameSize, margins: Margins): Promise<PlacedRaster>;
}

export interface FrameSize {
  readonly width: number;
  readonly height: number;
}

/**
 * Reads the files of overlays.
 *
 * @param place of the scene file, for messages
 * @throws InputError with everything wrong with any of them
 */
export async function openOverlays(
  overlays: readonly Overlay[],
  place: string,
): Promise<OpenOverlay[]> {
  const problems: Problem[] = [];
  const opened: OpenOverlay[] = [];
  for (const overlay of overlays) {
    try {
      opened.push(await openOne(overlay));
    } catch (error) {
      if (!(error instanceof Unfit)) throw error;
      problems.push({ place, path: `${overlay.path}.${error.field}`, message: error.message });
    }
  }
  if (problems.length > 0) throw new InputError(problems);
  return opened;
}

class Unfit extends Error {
  constructor(
    readonly field: string,
    message: string,
  ) {
    super(message);
  }
}

async function openOne(overlay: Overlay): Promise<OpenOverlay> {
  if (overlay.kind === 'image') {
    const { image } = overlay;
    await checkImage(image).catch((error: unknown) => {
      throw error instanceof UnfitImage ? new Unfit('image', `${image} ${error.message}`) : error;
    });
    const rasterAt = (frame: FrameSize) => imageRaster(image, overlay.size * shorter(frame));
    return { overlay, rasterFor: placed(overlay, rasterAt) };
  }
  const font = await fontOf(overlay);
  const missing = font.missing(overlay.text);
  if (missing.length > 0) {
    const signs = listed(missing.slice(0, 10), 'and');
    const which = overlay.font === undefined ? 'the font that comes along' : 'that font';
    throw new Unfit(
      'text',
      `has signs that ${which} lacks: ${signs}; name another file with 'font'`,
    );
  }
  const rasterAt = (frame: FrameSize, { left, right }: Margins) =>
    textRaster({
      text: overlay.text,
      ...{ font: font.name, fontFile: font.file },
      size: overlay.size * shorter(frame),
      ...{ colour: overlay.colour, shadow: overlay.shadow },
      align: alignmentAt(overlay.place),
      widest: frame.width - left - right,
    });
  return { overlay, rasterFor: placed(overlay, rasterAt) };
}

function fontOf({
  font = houseFontFile('semibold'),
}: {
  readonly font?: string;
}): Promise<FontFile> {
  return openFont(font).catch((error: unknown) => {
    throw error instanceof UnfitFont ? new Unfit('font', `${font} ${error.message}`) : error;
  });
}

const shorter = ({ width, height }: FrameSize): number => Math.min(width, height);

type RasterAt = (frame: FrameSize, margins: Margins) => Promise<Omit<PlacedRaster, 'left' | 'top'>>;

function placed(overlay: Overlay, rasterAt: RasterAt): OpenOverlay['rasterFor'] {
  return async (frame, usual) => {
    const own = (overlay.margin ?? 0) * shorter(frame);
    const margins =
      overlay.margin === undefined ? usual : { top: own, bottom: own, left: own, right: own };
    const raster = await rasterAt(frame, margins);
    return { ...raster, ...cornerOf(overlay.place, raster, frame, margins) };
  };
}
