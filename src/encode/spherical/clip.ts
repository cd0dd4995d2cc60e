import type { Container } from '../containers.js';
import { markSphericalVideo, SOURCE } from '../spherical.js';
import { WHOLE } from './bytes.js';
import { writeProjection } from './matroska.js';

/** Has a finished clip of ours say that it is a whole sphere, in the way of its container; GIF and WebP have none. */
export async function tellSphere(
  temporary: string,
  file: string,
  { muxer }: Container,
): Promise<void> {
  if (muxer === 'mp4' || muxer === 'mov') {
    await markSphericalVideo(temporary, { source: SOURCE, overwrite: true });
  } else if (muxer === 'webm') {
    const straight = { yaw: 0, pitch: 0, roll: 0 };
    await writeProjection(temporary, file, { ...straight, stereo: 'mono', bounds: WHOLE });
  }
}
