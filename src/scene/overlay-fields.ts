import { z } from 'zod';
import { backgroundNames, parseBackground } from './background.js';
import { choice, nameOr, numberOrText, parsed, says, share, text } from './fields.js';
import { parseMoment, parseSeconds, timeTakes } from './time.js';

/** The nine places of an overlay in a frame. */
export const overlayPlaces = [
  ...(['top-left', 'top', 'top-right', 'left', 'centre'] as const),
  ...(['right', 'bottom-left', 'bottom', 'bottom-right'] as const),
] as const;

const MOST_OVERLAYS = 50;
const LONGEST_TEXT = 500;
const colourNames = backgroundNames.filter((name) => name !== 'blur' && name !== 'transparent');
const colourTakes = "takes black, white, or a colour in quotes such as '#ffe8c0' or '#ffe8c0c0'";
const sizeTakes = "takes a share of the frame's shorter side, more than 0 and at most 200%: '6%'";
const marginTakes = "takes a share of the frame's shorter side from 0 to 40%: '5%'";
const fadeTakes = 'takes seconds from 0 up';
const opacityTakes = 'takes a number from 0 to 1';

const colour = parsed(
  nameOr(colourNames, '^#([0-9a-fA-F]{3,4}|[0-9a-fA-F]{6}|[0-9a-fA-F]{8})$', colourTakes),
  colourTakes,
  (words) => {
    const found = parseBackground(words);
    return found?.kind === 'colour' ? found.colour : undefined;
  },
  colourNames,
);

const moment = () => parsed(numberOrText(timeTakes), timeTakes, parseMoment);

export const overlaySchema = z
  .strictObject(
    {
      text: text('takes words to show')
        .max(LONGEST_TEXT)
        .optional()
        .meta({
          title: 'Text',
          description:
            'Words to show; \\n in double quotes begins a new line. Either this or image.',
          examples: ['Morning over the lake'],
        }),
      image: text('takes the name of a picture')
        .optional()
        .meta({
          title: 'Image',
          description:
            'A picture to show, relative to the scene file: PNG, WebP, SVG ... with its transparency.',
          examples: ['mark.png'],
        }),
      from: moment()
        .optional()
        .meta({
          title: 'From',
          description: 'When it begins to show. Default: 0.',
          examples: [0.5],
        }),
      to: moment()
        .optional()
        .meta({
          title: 'To',
          description: 'When it is gone. Default: the end.',
          examples: ['50%'],
        }),
      fade: parsed(numberOrText(fadeTakes), fadeTakes, parseSeconds).optional().meta({
        title: 'Fade',
        description:
          'Seconds over which it comes and goes; a start at 0 and an end at the end are not faded. Default: 0.4 for texts, 0 for images.',
      }),
      place: choice(overlayPlaces).optional().meta({
        title: 'Place',
        description:
          "Where in the frame, within the shape's safe area. Default: bottom for texts, bottom-right for images.",
      }),
      size: share(sizeTakes, (part) => part >= 1e-6 && part <= 2)
        .optional()
        .meta({
          title: 'Size',
          description:
            'Height of the letters, or width of the image, as a share of the frame’s shorter side. Default: 6% and 15%.',
          examples: ['6%'],
        }),
      margin: share(marginTakes, (part) => part >= 0 && part <= 0.4)
        .optional()
        .meta({
          title: 'Margin',
          description:
            'Room to the frame’s edges as a share of its shorter side. Default: what the safe area leaves.',
        }),
      opacity: z.number(says(opacityTakes)).min(0).max(1).optional().meta({
        title: 'Opacity',
        description: '1 is as it is, 0 nothing. Default: 1.',
      }),
      colour: colour.optional().meta({
        title: 'Colour',
        description: 'Of the letters. Default: white.',
      }),
      font: text('takes the name of a font file')
        .optional()
        .meta({
          title: 'Font',
          description:
            'A .ttf or .otf file, relative to the scene file. Default: Source Sans 3 SemiBold, which comes along.',
          examples: ['fonts/own.ttf'],
        }),
      shadow: z.boolean(says('takes true or false')).optional().meta({
        title: 'Shadow',
        description:
          'A soft dark glow behind the letters, so that they read on any ground. Default: true.',
      }),
    },
    says("takes a group of fields, a 'text' or an 'image' and where and when it shows"),
  )
  .meta({
    id: 'overlay',
    title: 'Overlay',
    description: 'A title or a small mark that lies over the picture.',
  });

export const overlaysField = z
  .array(overlaySchema, says('takes a list of overlays'))
  .max(MOST_OVERLAYS)
  .optional()
  .meta({
    title: 'Overlays',
    description: 'Titles and marks over the picture, the later ones over the earlier.',
  });

export type OverlayFields = z.output<typeof overlaySchema>;
