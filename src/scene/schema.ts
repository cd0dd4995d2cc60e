import { z } from 'zod';
import { aimFields, marksField } from './aim-fields.js';
import { backgroundNames, backgroundTakes, parseBackground } from './background.js';
import { keyframeBall, sceneBall } from './ball-fields.js';
import { northField } from './direction.js';
import { DEFAULT_EASE } from './ease.js';
import { easeField } from './ease-field.js';
import { angle, choice, nameOr, numberOrText, parsed, says, text } from './fields.js';
import { footageField } from './footage.js';
import { loop, pace, path, sceneLength, timing } from './motion-fields.js';
import { movesField } from './moves/fields.js';
import { overlaysField } from './overlay-fields.js';
import { projectionField } from './projection-field.js';
import { safeField } from './safe.js';
import { parseShape, shapeNames, shapes, shapeTakes } from './shapes.js';
import { soundField } from './sound.js';
import {
  durationTakes,
  fpsTakes,
  LONGEST,
  parseDuration,
  parseFps,
  parseMoment,
  timeTakes,
} from './time.js';

const shutterTakes = 'takes degrees from 0 to 360';
const sharpenTakes = 'takes a number from 0 to 1';
const MOST_KEYFRAMES = 10_000;

const shape = () =>
  z
    .union(
      [z.enum(shapeNames), z.string().meta({ pattern: '^\\d+\\s*[xX×]\\s*\\d+$' })],
      says(shapeTakes),
    )
    .transform((value, context) => {
      const result = parseShape(value);
      if (!('problem' in result)) return result;
      context.addIssue({ code: 'custom', message: result.problem });
      return z.NEVER;
    })
    .meta({
      title: 'Shape of the frame',
      description: `${shapes.map(({ name, width, height, about }) => `${name} ${width}x${height} (${about})`).join('; ')}; or WxH in pixels, both even.`,
    });

const background = () =>
  parsed(
    nameOr(backgroundNames, '^#([0-9a-fA-F]{3,4}|[0-9a-fA-F]{6}|[0-9a-fA-F]{8})$', backgroundTakes),
    backgroundTakes,
    parseBackground,
    backgroundNames,
  )
    .optional()
    .meta({
      title: 'Outside the picture',
      description:
        'What shows where a projection has no picture, such as round a mirror ball: blur (the scene itself, enlarged and blurred), transparent, or a colour in quotes. Default: black.',
      examples: ['blur', '#102840'],
    });

export const keyframeSchema = z
  .strictObject(
    {
      at: parsed(numberOrText(timeTakes), timeTakes, parseMoment).meta({
        title: 'Time',
        description:
          "When the values hold: seconds (2.5 or '2.5s'), a timecode ('00:02.500') or a share of the duration ('50%').",
        examples: [0, '50%', '00:02.500'],
      }),
      yaw: angle(
        'Yaw',
        'Degrees to the right of the master’s centre. May run past 360: 720 is two turns.',
      ),
      pitch: angle('Pitch', 'Degrees above the horizon: 90 looks straight up, -90 straight down.'),
      roll: angle('Roll', 'Degrees the camera leans clockwise; the picture turns the other way.'),
      ...aimFields,
      fov: z
        .number(says('takes more than 0 and at most 360 degrees'))
        .gt(0)
        .max(360)
        .optional()
        .meta({
          title: 'Field of view',
          description:
            'Full angle in degrees across the frame’s shorter side, unless fovSide names another. How far it may go depends on the projection.',
        }),
      fovSide: choice(['shorter', 'longer', 'horizontal', 'vertical', 'diagonal']).optional().meta({
        title: 'Side of the field of view',
        description:
          'The side of the frame along which fov is measured, in this keyframe and the later ones. Default: shorter.',
      }),
      projection: projectionField.optional(),
      ball: keyframeBall,
      ease: easeField()
        .optional()
        .meta({
          title: 'Easing',
          description: `How each value set here goes to the next keyframe that sets it (CSS Easing’s curves); hold stays and then jumps. Default: ${DEFAULT_EASE}.`,
          examples: ['linear', 'cubic-bezier(0.7, 0, 0.2, 1)'],
        }),
      turn: choice(['as-written', 'shortest']).optional().meta({
        title: 'Way of turning',
        description:
          'as-written counts yaw, pitch and roll through as numbers; shortest turns along the great circle to the next keyframe that sets an angle. Default: as-written.',
      }),
      path: path("the scene's"),
      pace: pace("the scene's"),
    },
    says("takes a group of fields, 'at' and what the camera does then"),
  )
  .meta({
    id: 'keyframe',
    title: 'Keyframe',
    description: 'Values of the camera at one time. A value left out is interpolated through.',
  });

export const keyframesTake = 'takes a list of keyframes, at least one';

const keyframes = () => z.array(keyframeSchema, says(keyframesTake)).min(1).max(MOST_KEYFRAMES);

export const outputGroup = z.strictObject({
  shape: shape(),
  file: text('takes the name of a file').optional().meta({
    title: 'File',
    description:
      'Where this output goes, relative to the scene file; its ending chooses the format.',
  }),
  background: background(),
  safe: safeField,
  keyframes: keyframes().optional().meta({
    title: 'Overrides',
    description:
      'Keyframes for this output only. One at the time of a scene’s keyframe replaces the fields it names; others are added.',
  }),
});

const output = z
  .union([shape(), outputGroup])
  .meta({ title: 'Output', description: 'One shape, or a shape with settings of its own.' });

/** The scene file, in the order in which people write it. */
export const sceneSchema = z
  .strictObject({
    $schema: z.string().optional().meta({
      title: 'Schema',
      description: 'For editors that complete and check JSON files.',
    }),
    master: text("takes the path of the 360 master, such as 'valley.jpg'").meta({
      title: 'Master',
      description: 'Path of the equirectangular picture or video, relative to the scene file.',
      examples: ['valley.jpg', 'valley.mp4'],
    }),
    footage: footageField.optional(),
    sound: soundField,
    duration: parsed(numberOrText(durationTakes), durationTakes, parseDuration)
      .optional()
      .meta({
        title: 'Duration',
        description: `Length of the clip: seconds or a timecode, at most ${LONGEST / 3600} hour. Default: what the moves come to; without moves it must be there.`,
        examples: [8, '00:08.500'],
      }),
    timing,
    sceneLength,
    loop,
    fps: parsed(numberOrText(fpsTakes), fpsTakes, parseFps)
      .prefault(30)
      .meta({
        title: 'Frames per second',
        description:
          "1 to 240, also a fraction: '30000/1001'. The rounded names 23.976, 29.97 and 59.94 mean the exact fractions. Default: 30.",
        examples: [30, 25, '30000/1001'],
      }),
    outputs: z
      .array(output, says('takes a list of shapes, at least one'))
      .min(1)
      .max(20)
      .prefault(['vertical'])
      .meta({ title: 'Outputs', description: 'What is delivered. Default: [vertical].' }),
    background: background(),
    ball: sceneBall,
    shutter: z
      .number(says(shutterTakes))
      .min(0)
      .max(360)
      .prefault(0)
      .meta({
        title: 'Shutter',
        description:
          'How long each frame is exposed, as an angle: 360 degrees is as long as a frame lasts, 180 half of it, the usual blur of film; 0 freezes every frame. Default: 0.',
        examples: [180],
      }),
    sharpen: z
      .number(says(sharpenTakes))
      .min(0)
      .max(1)
      .prefault(0)
      .meta({
        title: 'Sharpening',
        description:
          'How much each frame is sharpened after it was drawn, 0 to 1: little planets shrink the master a lot and may take 0.3. Default: 0.',
        examples: [0.3],
      }),
    north: northField,
    marks: marksField,
    overlays: overlaysField,
    path: path('eased'),
    pace: pace('keyed'),
    moves: movesField,
    keyframes: keyframes().optional().meta({
      title: 'Keyframes',
      description:
        'What the camera does, in order of time; must be there without moves. Beside moves: one at the time of a move’s keyframe replaces the fields it names, others are added.',
    }),
  })
  .meta({
    title: 'Orbreel scene',
    description:
      'One 360 master, the camera’s keyframes, and what to deliver; or several such shots in a row.',
  });

export type SceneFields = z.output<typeof sceneSchema>;
export type KeyframeFields = z.output<typeof keyframeSchema>;
