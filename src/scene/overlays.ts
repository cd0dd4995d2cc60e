import type { Path } from './document.js';
import { pathText } from './faults.js';
import type { OverlayFields } from './overlay-fields.js';
import { type Moment, momentSeconds } from './time.js';
import type { Colour, Overlay } from './types.js';
import { shortNumber } from './words.js';

const WHITE: Colour = [255, 255, 255, 255];

export interface Placing {
  /** Seconds that times count from 0 to. */
  readonly duration: number;
  /** A name in the scene file as an absolute path. */
  readonly fileOf: (name: string) => string;
  readonly report: (path: Path, message: string) => void;
}

/** Checked overlays in units; what contradicts itself is reported. */
export function resolveOverlays(
  list: readonly OverlayFields[] | undefined,
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
  fields: OverlayFields,
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
