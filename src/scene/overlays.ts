import { z } from 'zod';
import { backgroundNames, parseBackground } from './background.js';
import type { Path } from './document.js';
import { pathText } from './faults.js';
import { choice, nameOr, numberOrText, parsed, says, text } from './fields.js';
import { type Moment, momentSeconds, parseMoment, parseSeconds, timeTakes } from './time.js';
import type { Colour, Overlay } from './types.js';
import { shortNumber } from './words.js';

/** The nine places of an overlay in a frame. */
export const overlayPlaces = [
  ...(['top-left', 'top', 'top-right', 'left', 'centre'] as const),
  ...(['right', 'bottom-left', 'bottom', 'bottom-right'] as const),
] as const;

const WHITE: Colour = [255, 255, 255, 255];
const MOST_OVERLAYS = 50;
const LONGEST_TEXT = 500;
const colourNames = backgroundNames.filter((name) => name !== 'blur' && name !== 'transparent');
const colourTakes = "takes black, white, or a colour in quotes such as '#ffe8c0' or '#ffe8c0c0'";
const sizeTakes = "takes a share of the frame's shorter side, more than 0 and at most 200%: '6%'";
const marginTakes = "takes a share of the frame's shorter side from 0 to 40%: '5%'";
const fadeTakes = 'takes seconds from 0 up';
const opacityTakes = 'takes a number from 0 to 1';

const share = (takes: string, least: number, most: number) =>
  parsed(numberOrText(takes), takes, (value) => {
    const percent = /^\s*(\d+(?:\.\d*)?|\.\d+)\s*%\s*$/u.exec(String(value))?.[1];
    if (percent === undefined && typeof value !== 'number') return undefined;
    const part = percent === undefined ? Number(value) : Number(percent) / 100;
    return part >= least && part <= most ? part : undefined;
  });

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
      size: share(sizeTakes, 1e-6, 2)
        .optional()
        .meta({
          title: 'Size',
          description:
            'Height of the letters, or width of the image, as a share of the frame’s shorter side. Default: 6% and 15%.',
          examples: ['6%'],
        }),
      margin: share(marginTakes, 0, 0.4).optional().meta({
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

type Fields = z.output<typeof overlaySchema>;

export interface Placing {
  /** Seconds that times count from 0 to. */
  readonly duration: number;
  /** A name in the scene file as an absolute path. */
  readonly fileOf: (name: string) => string;
  readonly report: (path: Path, message: string) => void;
}

/** Checked overlays in units; what contradicts itself is reported. */
export function resolveOverlays(
  list: readonly Fields[] | undefined,
  base: Path,
  { duration, fileOf, report }: Placing,
): Overlay[] {
  return (list ?? []).flatMap((fields, index): Overlay[] => {
    const path = [...base, index];
    const seconds = (name: 'from' | 'to', usual: number, asked: Moment | undefined) => {
      const value = asked === undefined ? usual : momentSeconds(asked, duration);
      if (value > duration + 1e-6) {
        const found = `${shortNumber(value)} s`;
        report(
          [...path, name],
          `takes a time from 0 to the duration, ${shortNumber(duration)} s, found ${found}`,
        );
      }
      return value;
    };
    const from = seconds('from', 0, fields.from);
    const to = seconds('to', duration, fields.to);
    if (to <= from) {
      report([...path, 'to'], `takes a time after its start at ${shortNumber(from)} s`);
    }
    const source = sourceOf(fields, path, report);
    if (source === undefined) return [];
    const isText = source === 'text';
    return [
      {
        ...(isText
          ? {
              kind: 'text' as const,
              text: fields.text!,
              colour: fields.colour ?? WHITE,
              shadow: fields.shadow ?? true,
              ...(fields.font === undefined ? {} : { font: fileOf(fields.font) }),
            }
          : { kind: 'image' as const, image: fileOf(fields.image!) }),
        ...{ from, to },
        fade: fields.fade ?? (isText ? 0.4 : 0),
        place: fields.place ?? (isText ? 'bottom' : 'bottom-right'),
        size: fields.size ?? (isText ? 0.06 : 0.15),
        ...(fields.margin === undefined ? {} : { margin: fields.margin }),
        opacity: fields.opacity ?? 1,
        path: pathText(path),
      },
    ];
  });
}

/** Fields that only texts have. */
const FOR_TEXTS = ['colour', 'font', 'shadow'] as const;

function sourceOf(
  fields: Fields,
  path: Path,
  report: Placing['report'],
): 'text' | 'image' | undefined {
  if ((fields.text === undefined) === (fields.image === undefined)) {
    const found = fields.text === undefined ? 'neither' : 'both';
    report(path, `takes either a text or an image, found ${found}`);
    return undefined;
  }
  if (fields.text !== undefined) return 'text';
  for (const name of FOR_TEXTS) {
    if (fields[name] !== undefined) report([...path, name], 'is for texts; an image has its own');
  }
  return 'image';
}
