import { z } from 'zod';
import { easeField } from './ease-field.js';
import { choice, numberOrText, parsed, says } from './fields.js';
import { durationTakes, parseDuration, parseMoment, timeTakes } from './time.js';

/** Fields of how the camera gets from keyframe to keyframe, and how the clip's time runs. */

export const path = (usual: string) =>
  choice(['eased', 'smooth'])
    .optional()
    .meta({
      title: 'Path',
      description: `How values get from keyframe to keyframe: eased goes from each to the next by its ease; smooth runs through them without a halt and without overshooting. Default: ${usual}.`,
    });

export const pace = (usual: string) =>
  choice(['keyed', 'even'])
    .optional()
    .meta({
      title: 'Pace of turning',
      description: `keyed turns so as to be at each keyframe at its time; even turns at one speed along the whole way. Default: ${usual}.`,
    });

const MOST_STOPS = 1000;
const timingTakes = "takes ping-pong or a list of entries such as {at: 2, shows: '50%'}";
const moment = () => parsed(numberOrText(timeTakes), timeTakes, parseMoment);

export const timingEntry = z.strictObject(
  {
    at: moment().meta({
      title: 'Time in the clip',
      description: 'Seconds, a timecode or a share of the duration.',
      examples: [0, '50%'],
    }),
    shows: moment().meta({
      title: 'Time of the scene',
      description:
        'The time of the scene that the clip shows then: seconds, a timecode or a share of the scene’s own length.',
      examples: [0, '100%'],
    }),
    ease: easeField()
      .optional()
      .meta({
        title: 'Easing',
        description: 'How the time goes from here to the next entry. Default: linear.',
        examples: ['ease-in-out'],
      }),
    path: choice(['eased', 'smooth']).optional().meta({
      title: 'Path',
      description:
        'smooth changes the speed gradually through this entry and the next ones, never turning back between two. Default: eased.',
    }),
  },
  says("takes a group of fields, 'at' and 'shows'"),
);

export const timing = z
  .union([
    z.enum(['ping-pong'], says(timingTakes, ['ping-pong'])),
    z.array(timingEntry, says(timingTakes)).min(1).max(MOST_STOPS),
  ])
  .optional()
  .meta({
    title: 'Timing',
    description:
      'Which time of the scene each time of the clip shows: ping-pong (there and back) or a list of entries. The same time twice is a hold; going down runs backwards. By default the two are the same.',
    examples: ['ping-pong'],
  });

export const sceneLength = parsed(numberOrText(durationTakes), durationTakes, parseDuration)
  .optional()
  .meta({
    title: 'Own length of the scene',
    description:
      'With timing: how long the scene itself lasts, of which keyframes and timing take their shares. By default half the duration with ping-pong, else the latest time that timing shows.',
    examples: [4],
  });

export const loop = z.boolean(says('takes true or false')).optional().meta({
  title: 'Loop',
  description:
    'true lets the end flow into the start: the last keyframe leads on to the first, and the frame after the last would be the first. Default: false.',
});
