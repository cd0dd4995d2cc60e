import { z } from 'zod';
import { parseBackground } from './background.js';
import { angle, choice, parsed, says, text } from './fields.js';
import type { BallLook, Colour } from './types.js';
import { listed } from './words.js';

const KINDS = ['mirror', 'glass'] as const;
const LEAST_INDEX = 0.5;
const MOST_INDEX = 3;

/** Of crown glass; what a glass ball has unless the scene says otherwise. */
const GLASS = 1.5;
const WHITE: Colour = [255, 255, 255, 255];

const ballTakes = `takes ${listed(KINDS)}, or a group of fields, 'kind' and what it is made of`;
const indexTakes = `takes an index of refraction from ${LEAST_INDEX} to ${MOST_INDEX}`;
const tintTakes = "takes a colour in quotes such as '#ffe0a0'";
const markTakes = 'takes the name of a mark under marks';
const sizeTakes = 'takes degrees from 0 to less than 180';
const distanceTakes = 'takes more than 0 and at most 1000';

/** Hexadecimal, without transparency. */
function parseTint(text: string): Colour | undefined {
  const colour = text.startsWith('#') ? parseBackground(text) : undefined;
  return colour?.kind === 'colour' && colour.colour[3] === 255 ? colour.colour : undefined;
}

export const ballGroup = z.strictObject({
  kind: choice(KINDS).meta({
    title: 'Kind of ball',
    description: 'mirror reflects; glass shows what lies behind it, bent, and reflects a little.',
  }),
  index: z
    .number(says(indexTakes))
    .min(LEAST_INDEX)
    .max(MOST_INDEX)
    .optional()
    .meta({
      title: 'Index of refraction',
      description: `Of glass only: crystal about 1.5, water 1.33, diamond 2.42; below 1 it is a bubble under water (0.75). Default: ${GLASS}.`,
      examples: [1.33],
    }),
  tint: parsed(
    z.string(says(tintTakes)).meta({ pattern: '^#([0-9a-fA-F]{3}|[0-9a-fA-F]{6})$' }),
    tintTakes,
    parseTint,
  )
    .optional()
    .meta({
      title: 'Tint',
      description:
        "The colour of the glass, or of the mirror's metal (gold is about '#ffd98c'). Default: white.",
      examples: ['#ffd98c'],
    }),
});

/** A kind's name, or a group. */
export const sceneBall = z
  .union([z.enum(KINDS, says(ballTakes, KINDS)), ballGroup])
  .transform((value): BallLook => {
    const {
      kind,
      index = GLASS,
      tint = WHITE,
    } = typeof value === 'string' ? { kind: value } : value;
    return { kind, index, tint };
  })
  .optional()
  .meta({
    title: 'Ball in the scene',
    description:
      'A mirror or glass ball that hovers in the landscape; the keyframes say where and how large.',
    examples: ['glass'],
  });

export const ballPlace = z.strictObject(
  {
    yaw: angle(
      'Direction of the ball',
      'Degrees of its centre to the right of the master’s centre: where it hangs in the landscape, wherever the camera looks.',
    ),
    pitch: angle('Height of the ball', 'Degrees of its centre above the horizon.'),
    mark: text(markTakes).optional().meta({
      title: 'Mark of the ball',
      description: 'In place of yaw and pitch: the name of a mark at which it hangs.',
    }),
    size: z.number(says(sizeTakes)).min(0).lt(180).optional().meta({
      title: 'Size of the ball',
      description: 'Degrees that it takes up, seen from the distance 1; 0 hides it.',
    }),
    distance: z.number(says(distanceTakes)).gt(0).max(1000).optional().meta({
      title: 'Distance of the ball',
      description:
        'How far off its centre is: at 1 it takes up its size, at 2 about half as much, and nearer it looms as a ball does that comes close.',
    }),
  },
  says('takes a group of fields: yaw and pitch or mark, size, distance'),
);

export const keyframeBall = ballPlace.optional().meta({
  title: 'Place of the ball',
  description:
    'Where the scene’s ball is, each of its fields a channel like yaw or fov: what is left out goes on its way.',
});
