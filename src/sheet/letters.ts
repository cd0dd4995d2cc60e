import { element, text } from '../chart/elements.js';
import { INK, PALE, PAPER } from '../chart/look.js';
import { FONT_FAMILY } from '../lettering/house.js';
import type { Plan } from './plan.js';
import { SPACING } from './plan.js';

export interface Caption {
  /** `2.5 s`. */
  readonly time: string;
  /** Projection and field of view. */
  readonly view: string;
}

export interface Letters {
  readonly title: string;
  readonly facts: string;
  /** Names of the shapes, shown when there are several. */
  readonly shapes: readonly string[];
  /** One for each frame, of every output in turn. */
  readonly captions: readonly (readonly Caption[])[];
}

/** The sheet's paper with everything that is written on it. */
export function lettersSvg(plan: Plan, { title, facts, shapes, captions }: Letters): string {
  const { width, height, cells, pictures } = plan;
  const { margin } = SPACING;
  return element(
    'svg',
    { xmlns: 'http://www.w3.org/2000/svg', width, height, 'font-family': FONT_FAMILY },
    [
      element('rect', { width, height, fill: PAPER }),
      text(margin, margin + 34, title, { 'font-size': 36, 'font-weight': 600, fill: INK }),
      text(margin, margin + 64, facts, { 'font-size': 20, fill: PALE }),
      ...cells.flatMap((list, output) =>
        list.flatMap(({ x, y }, frame) => {
          const { width, height } = pictures[output]!;
          const caption = captions[output]![frame]!;
          const shape = shapes.length > 1 ? [shapes[output]!] : [];
          return [
            ...(output === 0
              ? [bold(x, y + height + 20, caption.time)]
              : [fitted(x, y + height + 20, ' ', width)]),
            fitted(x, y + height + 40, caption.view, width),
            ...shape.map((name) => fitted(x, y + height + 62, name, width)),
          ];
        }),
      ),
    ],
  );
}

const bold = (x: number, y: number, words: string): string =>
  text(x, y, words, { 'font-size': 18, 'font-weight': 600, fill: INK });

/** Smaller where the picture above it is narrow; a letter is about half as wide as high. */
function fitted(x: number, y: number, words: string, width: number): string {
  const size = Math.max(9, Math.min(16, width / (0.48 * words.length)));
  return text(x, y, words, { 'font-size': size.toFixed(1), fill: PALE });
}
