import { z } from 'zod';
import type { Place } from '../camera/aim.js';
import { parsed, says } from './fields.js';
import { listed, shortNumber } from './words.js';

const THIRD = 1 / 3;

/** The composition's usual places: the middle, the lines of thirds and their crossings. */
const PLACES: Readonly<Record<string, Place>> = {
  centre: [0.5, 0.5],
  'left-third': [THIRD, 0.5],
  'right-third': [1 - THIRD, 0.5],
  'upper-third': [0.5, THIRD],
  'lower-third': [0.5, 1 - THIRD],
  'upper-left': [THIRD, THIRD],
  'upper-right': [1 - THIRD, THIRD],
  'lower-left': [THIRD, 1 - THIRD],
  'lower-right': [1 - THIRD, 1 - THIRD],
};

export const CENTRE: Place = [0.5, 0.5];

export const placeNames: readonly string[] = Object.keys(PLACES);

const takes = `takes ${listed(placeNames)}, or a pair [from the left, from the top] of shares of the frame from 0 to 1, such as [0.4, 0.6]`;

const share = z.number(says('takes a share of the frame from 0 to 1')).min(0).max(1);

export const placeField = parsed(
  z.union([z.enum(placeNames), z.tuple([share, share])], says(takes, placeNames)),
  takes,
  (place): Place | undefined => (typeof place === 'string' ? PLACES[place] : place),
)
  .optional()
  .meta({
    title: 'Place in the frame',
    description:
      'Where what the keyframe looks at sits: centre, a line of thirds (left-third, upper-third ...), a crossing of two (upper-left ...), or a pair of shares of the frame, from its left and from its top. Default: centre.',
    examples: ['left-third', [0.4, 0.6]],
  });

/** A place's name, or its shares. */
export const placeText = (place: Place): string =>
  placeNames.find((name) => {
    const [x, y] = PLACES[name]!;
    return Math.abs(x - place[0]) < 1e-9 && Math.abs(y - place[1]) < 1e-9;
  }) ?? `[${place.map((side) => shortNumber(side)).join(', ')}]`;
