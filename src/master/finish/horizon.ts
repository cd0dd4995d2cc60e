import { coverageOf, isWhole } from '../inspect/coverage.js';
import { detectFormat } from '../inspect/format.js';
import { readPhoto } from '../inspect/photo.js';
import type { Horizon } from '../inspect.js';
import { findHorizon } from '../level.js';
import { gpanoOf } from '../mark/gpano.js';
import { withMetadata } from '../metadata.js';

/**
 * How the camera leaned, for an inspection; undefined where it is no photo of the whole sphere, or the
 * picture does not surely tell.
 */
export async function horizonOf(file: string): Promise<Horizon | undefined> {
  const format = await detectFormat(file);
  if (format.kind !== 'photo') return undefined;
  const photo = await readPhoto(file, format);
  const tags = await withMetadata((tool) => tool.read(file));
  // Turned as EXIF asks, it would be higher than wide.
  if (photo.orientation > 4 || !isWhole(coverageOf(photo, gpanoOf(tags)))) return undefined;
  const { sure, roll, pitch, confidence } = await findHorizon(file);
  return sure ? { rollDeg: roll, pitchDeg: pitch, confidence } : undefined;
}
