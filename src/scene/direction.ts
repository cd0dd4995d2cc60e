import { z } from 'zod';
import { nearest } from '../camera/aim.js';
import type { Path } from './document.js';
import { angle, says } from './fields.js';
import type { Report } from './resolve.js';

/** A compass heading: clockwise from north, as GPano's PoseHeadingDegrees has it. */
export const heading = (description: string) =>
  z
    .number(says('takes a compass heading from 0 to 360 degrees (90 is east)'))
    .min(0)
    .max(360)
    .optional()
    .meta({ title: 'Heading', description, examples: [120] });

const takes = 'takes a yaw or a heading, and a pitch: {yaw: 34, pitch: -4}';

/** Where something lies as seen from the master: a yaw or a heading, and a pitch. */
export const directionGroup = z.strictObject(
  {
    yaw: angle('Yaw', 'Degrees to the right of the master’s centre.'),
    heading: heading('In place of yaw: compass heading in degrees, clockwise from north.'),
    pitch: z
      .number(says('takes degrees from -90 to 90'))
      .min(-90)
      .max(90)
      .optional()
      .meta({ title: 'Pitch', description: 'Degrees above the horizon. Default: 0.' }),
  },
  says(takes),
);

export type DirectionFields = z.output<typeof directionGroup>;

export interface Direction {
  /** Degrees to the right of the master's centre. */
  readonly yaw: number;
  readonly pitch: number;
}

export const northField = z
  .union([z.literal('master'), z.number().min(-360).max(360)], {
    ...says("takes the yaw at which north lies, in degrees from -360 to 360, or 'master'"),
  })
  .optional()
  .meta({
    title: 'North',
    description:
      'The yaw at which north lies, in degrees to the right of the master’s centre, so that headings can be used; master takes it from the heading that the master’s metadata state of its centre. Default: master.',
    examples: [-137],
  });

/** What is known of the master itself, which a scene's text does not say. */
export interface MasterFacts {
  /** Compass heading of its centre, in degrees clockwise from north. */
  readonly heading?: number;
}

export interface Compass {
  /** The yaw of a heading, from -180 to 180; undefined, and told, when north is unknown. */
  yawOf(heading: number, path: Path): number | undefined;
}

/**
 * @param north as the scene says it
 * @param onAsked told when a heading cannot be read for want of the master's own
 */
export function compassOf(
  north: z.output<typeof northField>,
  facts: MasterFacts,
  report: Report,
  onAsked: () => void,
): Compass {
  const own = facts.heading === undefined ? undefined : 0 - facts.heading;
  const yawOfNorth = typeof north === 'number' ? north : own;
  return {
    yawOf(heading, path) {
      if (yawOfNorth !== undefined) return nearest(yawOfNorth + heading, 360, 0);
      onAsked();
      report(
        path,
        "needs north, and the master does not say its centre's heading; write north: and the yaw at which north lies",
      );
      return undefined;
    },
  };
}

/** Undefined, and told, when it is no whole direction. */
export function directionOfFields(
  fields: DirectionFields,
  path: Path,
  compass: Compass,
  report: Report,
): Direction | undefined {
  const { yaw, heading, pitch = 0 } = fields;
  if ((yaw === undefined) === (heading === undefined)) {
    const found = yaw === undefined ? 'neither yaw nor heading' : 'both yaw and heading';
    report(path, `${takes}; found ${found}`);
    return undefined;
  }
  const known = yaw ?? compass.yawOf(heading!, [...path, 'heading']);
  return known === undefined ? undefined : { yaw: known, pitch };
}
