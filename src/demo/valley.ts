import { rename, rm, writeFile } from 'node:fs/promises';
import sharp from 'sharp';
import { InputError } from '../errors.js';
import { type GlContext, openContext } from '../render/context.js';
import { makeLand } from './land.js';
import { paintPicture } from './picture.js';
import { makeThings } from './things.js';
import { throwShade } from './throw-shade.js';
import { valleyXmp } from './xmp.js';

export interface ValleyOptions {
  /** Pixels across: a multiple of 16, above 8192 of 1024. The picture is half as high. */
  readonly width: number;
  /** Where the JPEG goes. */
  readonly file: string;
  /** Called with the share done, 0 to 1; what it throws stops the work. */
  readonly onProgress?: (share: number) => void;
  /** An open context to draw with; without it one is opened and closed again. */
  readonly context?: GlContext;
}

const QUALITY = 91;
const FINEST_MAP = 3072;

/**
 * Makes the demo master: an invented mountain-lake valley at sunrise, as an equirectangular JPEG
 * (sRGB, marked as a whole sphere). The same picture at every width, the same bytes on the same renderer.
 *
 * @throws InputError when the width does not suit; WorkError when no WebGL context can be had.
 */
export async function makeValley(options: ValleyOptions): Promise<void> {
  const { width, file, onProgress = () => {}, context } = options;
  checkWidth(width);
  const things = makeThings();
  onProgress(0.02);
  const mapSize = Math.min(FINEST_MAP, Math.max(512, Math.round(width * 0.375)));
  const levels = await makeLand(
    mapSize,
    (level) => throwShade(level, things),
    (share) => onProgress(0.02 + 0.38 * share),
  );
  const open = context ?? (await openContext());
  try {
    const pixels = await paintPicture(open.regl, width, levels, things, (share) =>
      onProgress(0.4 + 0.57 * share),
    );
    await save(pixels, width, file);
    onProgress(1);
  } finally {
    if (!context) open.close();
  }
}

function checkWidth(width: number): void {
  const step = width > 8192 ? 1024 : 16;
  if (Number.isInteger(width) && width >= 256 && width % step === 0) return;
  throw new InputError(
    `The demo master's width must be a multiple of 16 from 256 up (above 8192, of 1024), not ${width}.`,
  );
}

async function save(pixels: Uint8Array, width: number, file: string): Promise<void> {
  const jpeg = await sharp(pixels, { raw: { width, height: width / 2, channels: 3 } })
    .withIccProfile('srgb')
    .withXmp(valleyXmp(width))
    .jpeg({ quality: QUALITY, chromaSubsampling: '4:4:4' })
    .toBuffer();
  const unfinished = `${file}.part`;
  try {
    await writeFile(unfinished, jpeg);
    await rename(unfinished, file);
  } catch (error) {
    await rm(unfinished, { force: true });
    throw error;
  }
}
