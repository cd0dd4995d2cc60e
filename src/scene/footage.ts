import { z } from 'zod';
import { choice, numberOrText, parsed, says } from './fields.js';
import { parseSeconds } from './time.js';

/** Which part of a video master is shown, and how fast. */
export interface Footage {
  /** Seconds into the video at which the scene begins. */
  readonly from: number;
  /** Seconds into the video at which what may be shown ends; its own end where undefined. */
  readonly to?: number;
  /** Seconds of the video to a second of the scene. */
  readonly speed: number;
  /** Whether the last frame stays when the scene lasts longer. */
  readonly hold: boolean;
}

export const WHOLE_FOOTAGE: Footage = { from: 0, speed: 1, hold: false };

const SLOWEST = 0.01;
const FASTEST = 100;

const timeTakes = "takes seconds into the video (2 or '1.5s') or a timecode ('00:01.500')";
const speedTakes = `takes a number from ${SLOWEST} to ${FASTEST}`;

const moment = (title: string, description: string) =>
  parsed(numberOrText(timeTakes), timeTakes, parseSeconds)
    .optional()
    .meta({ title, description, examples: [2, '00:01.500'] });

export const footageField = z
  .strictObject(
    {
      from: moment('Start', 'Time in the video at which the scene begins. Default: 0.'),
      to: moment(
        'End',
        "Time in the video after which nothing of it is shown. Default: the video's end.",
      ),
      speed: z.number(says(speedTakes)).min(SLOWEST).max(FASTEST).optional().meta({
        title: 'Speed',
        description:
          'How fast it runs: 2 is twice as fast, 0.5 half as fast, its sound alike. Default: 1.',
      }),
      atEnd: choice(['refuse', 'hold']).optional().meta({
        title: 'After its end',
        description:
          'hold keeps the last frame where the scene lasts longer than the video; refuse takes that for a mistake. Default: refuse.',
      }),
    },
    says("takes a group of fields: 'from', 'to', 'speed', 'atEnd'"),
  )
  .meta({
    title: 'Part of the video',
    description:
      'Which part of a video master is shown, and how fast. Default: all of it, as it is.',
  });

export function resolveFootage(fields: z.output<typeof footageField>): Footage {
  return {
    from: fields.from ?? 0,
    ...(fields.to === undefined ? {} : { to: fields.to }),
    speed: fields.speed ?? 1,
    hold: fields.atEnd === 'hold',
  };
}
