import sharp from 'sharp';
import { InputError } from '../../errors.js';
import { MOST_PIXELS } from '../decode/picture.js';
import { lastWords } from '../inspect/photo.js';
import { type Pixels, pixels } from '../pixels.js';
import { onlyTransparency } from '../transparency.js';
import { shrink } from './horizon/shrink.js';
import { estimateHorizon, LOOKED_AT } from './horizon.js';
import type { HorizonEstimate } from './types.js';
import { findUnseen, smoothedOver } from './unseen.js';

/** Pixels across that the estimate is made from. */
const WIDTH = 1024;

/**
 * How the camera stood that took a photo, from its pixels alone; areas of one colour and transparent ones, which
 * show nothing, count for nothing. Memory does not grow with the picture,
 * except where its format must be decoded whole.
 *
 * @param file a whole sphere's picture that sharp reads
 * @throws InputError when it is damaged
 */
export async function findHorizon(file: string): Promise<HorizonEstimate> {
  const small = shrink(await readReduced(file), LOOKED_AT);
  const unseen = await findUnseen(file, small);
  return estimateHorizon(unseen === undefined ? small : smoothedOver(small, unseen));
}

async function readReduced(file: string): Promise<Pixels> {
  const opened = { failOn: 'error', limitInputPixels: MOST_PIXELS } as const;
  const data = await onlyTransparency(file)
    .then((source) =>
      sharp(source, opened)
        .autoOrient()
        .removeAlpha()
        .resize(WIDTH, WIDTH / 2, { fit: 'fill', withoutEnlargement: false })
        .toColourspace('srgb')
        .raw({ depth: 'uchar' })
        .toBuffer(),
    )
    .catch((error: unknown) => {
      const message = `expected a whole picture, found that it cannot be read to its end: ${lastWords(error)}.`;
      throw new InputError([{ place: file, path: '', message }]);
    });
  return pixels(WIDTH, WIDTH / 2, new Uint8Array(data));
}
