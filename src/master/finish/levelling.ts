import { expectGoing } from '../../errors.js';
import { save } from '../complete/save.js';
import { claimedPose } from '../level/pose.js';
import { compose, type Pose, turnAngles, upright } from '../level/turn.js';
import { findHorizon, levelMaster } from '../level.js';
import type { FinishOptions, LevelStep } from './types.js';
import type { WorkFolder } from './workFolder.js';

/** A smaller lean, in degrees, is left as it is: resampling would cost more than it gives. */
const WORTH_TURNING = 0.6;
/** What may be left of a lean: less than what would be turned, so that a second run finds nothing to do. */
const SETTLED = 0.5;
const ATTEMPTS = 3;

/**
 * Levels `file` where the picture itself surely tells how it leans, and writes it as the folder's result.
 * It is the result as written that is looked at, before and after, as a second run would; what is then
 * left of the lean goes into a new turn of `file`, so that it is resampled only once.
 *
 * @param asItIs writes `file` unturned as the folder's result
 */
export async function levelSurely(
  file: string,
  depth: 8 | 16,
  { input, quality = 95, signal, onProgress = () => {} }: FinishOptions,
  folder: WorkFolder,
  asItIs: () => Promise<void>,
): Promise<LevelStep> {
  await asItIs();
  const found = await findHorizon(folder.result);
  if (!found.sure) return { status: 'unsure', found };
  if (found.tilt < WORTH_TURNING) return { status: 'level', found };
  const output = folder.path('level.png');
  let turn = upright(found);
  for (let attempt = 0; attempt < ATTEMPTS; attempt++) {
    await levelMaster({
      ...turnAngles(turn),
      input: file,
      output,
      overwrite: true,
      ...(signal === undefined ? {} : { signal }),
      onProgress: (step, share) => onProgress(step, 0.55 + 0.3 * share),
    });
    await save(output, folder.result, depth, quality);
    expectGoing(signal);
    const left = await findHorizon(folder.result);
    if (!left.sure || left.tilt < SETTLED)
      return { status: 'turned', found, pose: await poseOf(input) };
    turn = compose(turn, upright(left));
  }
  await asItIs();
  return { status: 'contradicted', found };
}

/** Of what stands upright now; its centre still faces the same way. */
async function poseOf(input: string): Promise<Pose> {
  const { pose } = await claimedPose(input);
  return { ...pose, pitch: 0, roll: 0 };
}
