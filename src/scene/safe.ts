import { z } from 'zod';
import { says, share } from './fields.js';
import { isSphere, shapes } from './shapes.js';
import type { Output } from './types.js';

/** Margins, as shares of the frame's height (top, bottom) and width (left, right). */
export interface Safe {
  readonly top: number;
  readonly bottom: number;
  readonly left: number;
  readonly right: number;
}

const NONE: Safe = { top: 0, bottom: 0, left: 0, right: 0 };

/**
 * What a feed's own controls and texts may cover. Our choice: common practice, no source; feeds differ,
 * change often, and publish little. Sizes of one's own take the row of the nearest ratio.
 */
const SAFE: Readonly<Record<string, Safe>> = {
  vertical: { top: 0.12, bottom: 0.2, left: 0.05, right: 0.12 },
  portrait: { top: 0.06, bottom: 0.1, left: 0.05, right: 0.05 },
  square: { top: 0.06, bottom: 0.08, left: 0.05, right: 0.05 },
  landscape: { top: 0.06, bottom: 0.12, left: 0.05, right: 0.05 },
};

const rows = shapes.filter(({ name }) => name in SAFE);

/** The margins of a shape or size, before a scene's own `safe`. */
export function usualSafe(frame: Pick<Output, 'shape' | 'width' | 'height'>): Safe {
  if (isSphere(frame.shape)) return NONE;
  const ratio = ({ width, height }: { width: number; height: number }) => Math.log(width / height);
  const off = (row: { width: number; height: number }) => Math.abs(ratio(row) - ratio(frame));
  const row = rows.reduce((best, other) => (off(other) < off(best) ? other : best));
  return SAFE[row.name]!;
}

export const safeOf = (output: Pick<Output, 'shape' | 'width' | 'height' | 'safe'>): Safe => ({
  ...usualSafe(output),
  ...output.safe,
});

const takes = "takes a margin as a share of the frame, from 0 to below half: '12%' or 0.12";

const margin = (side: string, of: string) =>
  share(takes, (part) => part >= 0 && part < 0.5)
    .optional()
    .meta({ title: side, description: `Share of the frame’s ${of}: '12%' or 0.12.` });

export const safeGroup = z.strictObject(
  {
    top: margin('Top', 'height'),
    bottom: margin('Bottom', 'height'),
    left: margin('Left', 'width'),
    right: margin('Right', 'width'),
  },
  says("takes margins: {top: '12%', bottom: '20%'}"),
);

export const safeField = safeGroup.optional().meta({
  title: 'Safe area',
  description:
    "Margins that a feed's own controls may cover: top, bottom, left, right as shares of the frame; those left out are the shape's usual ones. Stills with --guides show them, and check warns where a mark leaves them.",
  examples: [{ top: '12%', bottom: '20%' }],
});

/** The margins that are given. */
export const givenMargins = (fields: z.output<typeof safeGroup>): Partial<Safe> =>
  Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined));
