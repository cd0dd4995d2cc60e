import { z } from 'zod';
import { moveNames, moves } from '../../moves/index.js';
import type { Move, Param } from '../../moves/types.js';
import { directionGroup } from '../direction.js';
import { choice, numberOrText, parsed, says } from '../fields.js';
import { placeField, placeText } from '../place.js';
import { durationTakes, parseDuration, parseMoment, timeTakes } from '../time.js';
import { listed } from '../words.js';

/** Seconds; shorter is a cut. */
export const SHORTEST_MOVE = 0.5;
const MOST_MOVES = 200;
/** Of a target's yaw, in degrees. */
const LARGEST_YAW = 3600;

const movesTake = `takes a list of moves, at least one: ${listed(moveNames)}, alone or in a group with its parameters`;
const nameTakes = `takes a move: ${listed(moveNames)}`;
const targetTakes =
  'takes a yaw in degrees, the name of a mark, or a direction such as {heading: 120, pitch: -4}';

const target = () =>
  z.union(
    [z.number().min(-LARGEST_YAW).max(LARGEST_YAW), z.string(), directionGroup],
    says(targetTakes),
  );

/** The end of every description, which the tables have a column for. */
export function usualOf(param: Param): string {
  if (param.kind === 'place') return placeText(param.default);
  if (param.kind === 'targets') return `[${param.default.join(', ')}]`;
  return String(param.default);
}

/** What a parameter takes, for lists. */
export function takesOf(param: Param): string {
  switch (param.kind) {
    case 'number':
      return `from ${param.min} to ${param.max} ${param.unit}`;
    case 'choice':
      return listed(param.options);
    case 'target':
      return 'a yaw, a mark or a direction';
    case 'targets':
      return `${param.least} to ${param.most} yaws, marks or directions`;
    case 'place':
      return 'a place in the frame';
  }
}

function fieldOf(param: Param): z.ZodType {
  switch (param.kind) {
    case 'number': {
      const { min, max, unit } = param;
      return z
        .number(says(`takes ${unit} from ${min} to ${max}`))
        .min(min)
        .max(max);
    }
    case 'choice':
      return choice(param.options);
    case 'target':
      return target();
    case 'targets':
      return z
        .array(target(), says(`takes a list of ${param.least} to ${param.most} marks or yaws`))
        .min(param.least)
        .max(param.most);
    case 'place':
      return placeField.unwrap();
  }
}

const titled = (name: string): string => name.charAt(0).toUpperCase() + name.slice(1);

const at = parsed(numberOrText(timeTakes), timeTakes, parseMoment).optional().meta({
  title: 'Time',
  description:
    'When the move begins: seconds, a timecode, or a share of the duration. Default: where the move before ends.',
});

const lengthTakes = `${durationTakes.replace('more than 0', `at least ${SHORTEST_MOVE} s`)}`;

const length = parsed(numberOrText(lengthTakes), lengthTakes, (value) => {
  const seconds = parseDuration(value);
  return seconds === undefined || seconds < SHORTEST_MOVE ? undefined : seconds;
})
  .optional()
  .meta({
    title: 'Length',
    description:
      "How long it takes: seconds or a timecode. Moves without it share the time up to the next move's at, or to the scene's duration, as their usual times are to each other; without either they take their usual time.",
  });

/** The group of one move: its name, its time, and its parameters. */
const groupOf = ({ name, title, params }: Move) =>
  z
    .strictObject({
      move: z.literal(name),
      at,
      for: length,
      ...Object.fromEntries(
        Object.entries(params).map(([key, param]) => [
          key,
          fieldOf(param)
            .optional()
            .meta({
              title: titled(key),
              description: `${titled(param.about)}. Default: ${usualOf(param)}.`,
            }),
        ]),
      ),
    })
    .meta({ title: name, description: title });

const groups = moves.map(groupOf);

/** The fields that a move's group may have. */
export const fieldsOfMove = (name: unknown): readonly string[] => {
  const group = groups[moveNames.indexOf(String(name))];
  return group ? Object.keys(group.shape) : ['move', 'at', 'for'];
};

type Group = (typeof groups)[number];

const nameIn = (group: unknown): unknown => (group as { move?: unknown } | undefined)?.move;

const moveField = z
  .union([
    z.enum(moveNames, says(nameTakes, moveNames)).transform((move) => ({ move })),
    z.discriminatedUnion('move', groups as [Group, ...Group[]], {
      error: ({ input }) => says(nameTakes, moveNames).error({ input: nameIn(input) }),
    }),
  ])
  .meta({
    id: 'move',
    title: 'Move',
    description: 'A ready camera move: its name, or a group with move and its parameters.',
  });

export const movesField = z
  .array(moveField, says(movesTake))
  .min(1)
  .max(MOST_MOVES)
  .optional()
  .meta({
    title: 'Moves',
    description:
      'Ready camera moves, one after the other, in place of keyframes or beside them: each a name, or a group with move and its parameters.',
    examples: [['planet-to-view'], [{ move: 'push-in', to: 'windmill', for: 6 }]],
  });

export type MoveFields = NonNullable<z.output<typeof movesField>>[number];
