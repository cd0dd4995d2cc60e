import { z } from 'zod';
import { directionGroup, heading } from './direction.js';
import { says } from './fields.js';
import { placeField } from './place.js';

const takesLook =
  'takes the name of a mark, or a direction such as {heading: 120} or {yaw: 34, pitch: -4}';

export const marksField = z
  .record(
    z.string(),
    directionGroup,
    says('takes names with their directions: {windmill: {yaw: 34, pitch: -4}}'),
  )
  .optional()
  .meta({
    title: 'Marks',
    description:
      'Points of interest by name, each a yaw or a compass heading with a pitch; keyframes look at them.',
    examples: [{ windmill: { yaw: 34, pitch: -4 } }],
  });

/** What a keyframe may have in place of yaw and pitch. */
export const aimFields = {
  heading: heading(
    'In place of yaw: compass heading in degrees, clockwise from north, where north is known. Of the yaws that it can mean, the one nearest to the keyframe before.',
  ),
  look: z
    .union([z.string(), directionGroup], says(takesLook))
    .optional()
    .meta({
      title: 'Look',
      description:
        'In place of yaw and pitch: a mark’s name, or a direction ({heading: 120} or {yaw: 34, pitch: -4}). Yaw and pitch become what puts it at its place in each output’s frame, at the roll, field of view and projection of that time.',
      examples: ['windmill'],
    }),
  place: placeField,
};
