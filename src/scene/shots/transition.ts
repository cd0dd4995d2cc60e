import { z } from 'zod';
import { numberOrText, parsed, says } from '../fields.js';
import { parseDuration } from '../time.js';
import type { Transition } from '../types.js';

const KINDS = ['cut', 'dissolve', 'planet'] as const;

/** Where only the kind is named; seconds, whole turns and degrees. Our choice, no source. */
const USUAL = { dissolve: 1, planet: 6, turns: 0.25, fov: 240 };

const groupTakes =
  'takes either dissolve or planet with its length: {dissolve: 1s} or {planet: 6s}';
const takes = 'takes cut, dissolve, planet, or a length with it: {dissolve: 1s}, {planet: 6s}';
const lengthTakes = "takes seconds (1 or '1.5s') or a timecode ('00:01.500'), more than 0";

const length = (title: string, description: string) =>
  parsed(numberOrText(lengthTakes), lengthTakes, parseDuration)
    .optional()
    .meta({ title, description });

export const transitionGroup = z.strictObject({
  dissolve: length(
    'Dissolve',
    'How long the shot before dissolves into this one, mixed in linear light.',
  ),
  planet: length(
    'Through the planets',
    'How long it takes until the view before has risen and closed into its little planet, that planet has dissolved into the planet of this shot, and this one has opened from it. Below 5 seconds it is a fast move.',
  ),
  turns: z
    .number(says('takes turns from -5 to 5'))
    .min(-5)
    .max(5)
    .optional()
    .meta({
      title: 'Turns',
      description: `With planet: how far the planets turn meanwhile, in whole turns, to the left when negative. Default: ${USUAL.turns}.`,
    }),
  fov: z
    .number(says('takes more than 180 and less than 360 degrees'))
    .gt(180)
    .lt(360)
    .optional()
    .meta({
      title: 'Field of view of the planets',
      description: `With planet: degrees across the frame’s shorter side when it is all planet; more is smaller. Default: ${USUAL.fov}.`,
    }),
});

/** How a shot follows on the one before, in any of the ways in which it may be written. */
export const transitionField = z
  .union([
    z
      .enum(KINDS, says(takes, KINDS))
      .transform((kind): Transition => transitionOf({ [kind]: true })),
    transitionGroup.transform((group, context): Transition => {
      const fault = faultIn(group);
      if (fault === undefined) return transitionOf(group);
      context.addIssue({ code: 'custom', ...fault });
      return z.NEVER;
    }),
  ])
  .meta({
    title: 'Transition',
    description:
      'How the shot before leads over into this one: cut, dissolve or planet, or a group that says how long. Both shots run on while it lasts, so the clip is shorter by that. Default: cut.',
    examples: ['cut', { dissolve: '1s' }, { planet: 6, turns: -0.5 }],
  });

type Group = z.output<typeof transitionGroup>;

function faultIn({ dissolve, planet, turns, fov }: Group) {
  if ((dissolve === undefined) === (planet === undefined)) {
    return { message: groupTakes };
  }
  const only = 'belongs to a planet transition; leave it out of a dissolve';
  if (planet === undefined && turns !== undefined) return { path: ['turns'], message: only };
  if (planet === undefined && fov !== undefined) return { path: ['fov'], message: only };
  return undefined;
}

/** `true` for the usual length. */
function transitionOf(group: {
  readonly dissolve?: number | true | undefined;
  readonly planet?: number | true | undefined;
  readonly turns?: number | undefined;
  readonly fov?: number | undefined;
}): Transition {
  const { dissolve, planet, turns = USUAL.turns, fov = USUAL.fov } = group;
  if (dissolve !== undefined) {
    return { kind: 'dissolve', duration: dissolve === true ? USUAL.dissolve : dissolve };
  }
  if (planet === undefined) return { kind: 'cut' };
  return { kind: 'planet', duration: planet === true ? USUAL.planet : planet, turns, fov };
}
