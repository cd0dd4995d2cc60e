import type { Background } from './types.js';

export const BLACK: Background = { kind: 'colour', colour: [0, 0, 0, 255] };

const NAMED: Readonly<Record<string, Background>> = {
  black: BLACK,
  white: { kind: 'colour', colour: [255, 255, 255, 255] },
  transparent: { kind: 'colour', colour: [0, 0, 0, 0] },
  blur: { kind: 'blur' },
};

export const backgroundNames: readonly string[] = Object.keys(NAMED);

export const backgroundTakes = `takes blur, transparent, black, white, or a colour in quotes such as '#102840' or '#10284080'`;

/** Hexadecimal colours as in CSS Color Level 4 (#rgb, #rgba, #rrggbb, #rrggbbaa), or a name above. */
export function parseBackground(text: string): Background | undefined {
  const word = text.trim().toLowerCase();
  if (Object.hasOwn(NAMED, word)) return NAMED[word];
  const hex = /^#([0-9a-f]+)$/u.exec(word)?.[1];
  if (hex === undefined || ![3, 4, 6, 8].includes(hex.length)) return undefined;
  const digits = hex.length < 6 ? [...hex].map((digit) => digit + digit).join('') : hex;
  const byte = (index: number) => Number.parseInt(digits.slice(2 * index, 2 * index + 2), 16);
  return {
    kind: 'colour',
    colour: [byte(0), byte(1), byte(2), digits.length === 8 ? byte(3) : 255],
  };
}
