import { SOURCE } from '../encode/spherical.js';
import type { Still } from '../encode/still.js';
import { InputError } from '../errors.js';
import { degrees, wrapped } from '../math.js';
import { isSphere } from '../scene/shapes.js';
import type { Scene, Sequence, SequenceOutput } from '../scene/types.js';
import { shotsAt } from '../timeline/shots.js';
import { camerasOf } from './cameras.js';

/**
 * Has a still of the whole sphere say that it is one, as `orbreel master mark` does, and which way its centre
 * lies where north is known; a flat one says nothing.
 *
 * @param at seconds of the clip
 */
export const sphereMark = (
  scene: Sequence,
  output: SequenceOutput,
  at: number,
): Pick<Still, 'mark'> =>
  isSphere(output.shape)
    ? { mark: async (file) => markSphere(file, await headingOf(scene, output, at)) }
    : {};

async function markSphere(file: string, heading: number | undefined): Promise<void> {
  const { markMaster } = await import('../master/mark.js');
  await markMaster({
    ...{ input: file, overwrite: true, software: SOURCE },
    ...(heading === undefined ? {} : { heading }),
  });
}

/** The compass heading of the frame's centre, of the shot that is seen best; undefined where north is unknown. */
async function headingOf(
  scene: Sequence,
  output: SequenceOutput,
  at: number,
): Promise<number | undefined> {
  const { shot, at: own } = shotsAt(scene, at).reduce((a, b) => (b.share > a.share ? b : a));
  const yawOfNorth = await northOf(scene.shots[shot]!);
  if (yawOfNorth === undefined) return undefined;
  const { rotation } = camerasOf(scene, output)(shot)(own);
  const yaw = degrees(Math.atan2(-rotation[6]!, rotation[8]!));
  return wrapped(Math.round((yaw - yawOfNorth) * 100), 36_000) / 100;
}

/** The yaw of north, as the scene or else its master says it. */
async function northOf({ north, master }: Scene): Promise<number | undefined> {
  if (north !== undefined) return north;
  const { statedHeading } = await import('../master/level/pose.js');
  try {
    const { heading } = await statedHeading(master);
    return heading === undefined ? undefined : -heading;
  } catch (error) {
    // What tells nothing of itself, such as a video, is no reason to fail.
    if (error instanceof InputError) return undefined;
    throw error;
  }
}
