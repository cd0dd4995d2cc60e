import { gpanoOf, inRange } from '../mark/gpano.js';
import { markMaster } from '../mark.js';
import { withMetadata } from '../metadata.js';
import type { Pose } from './turn.js';

export interface ClaimedPose {
  /** What the file says; 0 where it says nothing or nothing possible. */
  readonly pose: Pose;
  /** Whether it says anything of its pose. */
  readonly isStated: boolean;
}

const FIELDS = ['PoseHeadingDegrees', 'PosePitchDegrees', 'PoseRollDegrees'] as const;

/** The pose that a photo's GPano fields state. */
export async function claimedPose(file: string): Promise<ClaimedPose> {
  const gpano = gpanoOf(await withMetadata((tool) => tool.read(file)));
  const stated = (name: string): number | undefined =>
    gpano[name] !== undefined && inRange(name, gpano[name]) ? Number(gpano[name]) : undefined;
  const [heading, pitch = 0, roll = 0] = FIELDS.map(stated);
  return {
    pose: heading === undefined ? { pitch, roll } : { heading, pitch, roll },
    isStated: FIELDS.some((name) => gpano[name] !== undefined),
  };
}

/** The heading alone, where the file says one. */
export async function statedHeading(file: string): Promise<Pick<Pose, 'heading'>> {
  const { heading } = (await claimedPose(file)).pose;
  return heading === undefined ? {} : { heading };
}

/** Has a turned photo's own fields say how it stands now. */
export async function restatePose(photo: string, pose: Pose): Promise<void> {
  await markMaster({ input: photo, overwrite: true, ...pose });
}
