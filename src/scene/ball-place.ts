import type { z } from 'zod';
import { nearest } from '../camera/aim.js';
import type { ballPlace } from './ball-fields.js';
import type { Path } from './document.js';
import type { AimReader } from './marks.js';
import type { BallKeyframe } from './types.js';
import { listed } from './words.js';

/** A keyframe's ball as written; where a mark says its yaw, any whole turns from it will do. */
export interface BallDraft extends BallKeyframe {
  readonly marked?: true;
}

/** The ball's fields with its mark, if it names one, as a yaw and a pitch. */
export function ballDraft(
  { mark, ...given }: z.output<typeof ballPlace>,
  path: Path,
  aims: AimReader,
  report: (path: Path, message: string) => void,
): BallDraft {
  const fields = Object.fromEntries(
    Object.entries(given).filter(([, value]) => value !== undefined),
  ) as BallKeyframe;
  if (mark === undefined) return fields;
  const angles = (['yaw', 'pitch'] as const).filter((name) => fields[name] !== undefined);
  if (angles.length > 0) {
    const verb = angles.length > 1 ? 'do' : 'does';
    report(
      [...path, 'mark'],
      `says where the ball is, and so ${verb} ${listed(angles, 'and')}; keep one or the other`,
    );
  }
  const found = aims.lookOf(mark, [...path, 'mark']);
  return found === undefined
    ? fields
    : { ...fields, yaw: found.yaw, pitch: found.pitch, marked: true };
}

interface WithBall {
  readonly ball?: BallDraft;
}

/** An override of the ball replaces those of its fields that it names, too. */
export function bothBalls({ ball }: WithBall, { ball: override }: WithBall): WithBall {
  if (ball === undefined || override === undefined) return {};
  const { marked, ...place } = ball;
  const kept = override.yaw === undefined && marked ? { marked } : {};
  return { ball: { ...place, ...kept, ...override } };
}

/** The ball's place in each keyframe in turn: the yaw of a mark is the one nearest to the ball's yaw before. */
export function ballPlacer(): (draft: BallDraft) => BallKeyframe {
  let near = 0;
  return ({ marked, ...place }) => {
    const { yaw } = place;
    if (yaw === undefined) return place;
    near = marked ? nearest(yaw, 360, near) : yaw;
    return { ...place, yaw: near };
  };
}
