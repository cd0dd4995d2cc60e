import { type FreeView, fovOf, projectionOf } from '../../browser/look.js';
import type { Change, PageState, Place } from '../protocol.js';
import type { PlacedKeyframe, Scenery } from './scenery.js';

/** How keyframes are written down. */

export const rounded = (value: number, digits: number): number => Number(value.toFixed(digits));

/** After the last keyframe before it in the file that is earlier in time. */
export function insertion(
  keyframes: readonly PlacedKeyframe[],
  { list }: PageState,
  at: number,
  value: Readonly<Record<string, unknown>>,
): Change {
  const earlier = keyframes.filter((keyframe) => keyframe.time <= at && isIn(keyframe.where, list));
  const before = earlier.at(-1)?.where.at(-1);
  return { kind: 'insert', list, index: before === undefined ? 0 : Number(before) + 1, value };
}

/** What a keyframe says of a view: what is new, and what the keyframe says already. */
export function fieldsOf(
  scenery: Scenery,
  view: FreeView,
  path: string | undefined,
): Record<string, unknown> {
  const has = scenery.keyframe(path ?? '')?.written ?? {};
  const fov = fovOf(view.fov);
  const choice = projectionOf(view.projection);
  const isMorphing = view.projection.mix !== 0 && view.projection.mix !== 1;
  const rolls = scenery.keyframes.some(({ roll }) => roll !== undefined);
  const roll = rounded(view.roll, 2);
  const writesProjection = view.chosen || (!isMorphing && ('projection' in has || scenery.morphs));
  return {
    yaw: rounded(view.yaw, 2),
    pitch: rounded(view.pitch, 2),
    ...(roll !== 0 || rolls ? { roll } : {}),
    ...(isMorphing && !view.chosen && !('fov' in has) ? {} : { fov: rounded(fov.degrees, 2) }),
    ...(writesProjection ? { projection: written(choice) } : {}),
  };
}

/** What a keyframe says of where it looks in other words than yaw and pitch, which then go. */
export const aimsOf = ({ written }: PlacedKeyframe): string[] =>
  ['look', 'place', 'heading'].filter((name) => name in written);

const written = ({ name, params }: { name: string; params: object }) =>
  Object.keys(params).length === 0 ? name : { name, ...params };

/** Whether a place is that of an item of a list. */
export const isIn = (place: Place, list: Place): boolean =>
  place.length === list.length + 1 && list.every((step, index) => place[index] === step);
