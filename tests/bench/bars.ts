import { short } from './table.js';

export interface Bar {
  readonly name: string;
  readonly parts: readonly { readonly name: string; readonly value: number }[];
}

export interface Bars {
  readonly title: string;
  readonly note: string;
  readonly bars: readonly Bar[];
}

/** Distinguishable also without colour vision: Okabe and Ito's blue, orange, green, purple. */
const COLOURS = ['#0072b2', '#e69f00', '#009e73', '#cc79a7'];

const WIDTH = 760;
const LEFT = 60;
const RIGHT = 90;
const TOP = 76;
const BAR = 34;
const STEP = 56;
const PER_LETTER = 7.5;

/**
 * Stacked horizontal bars as an SVG picture. All are equally long, since their sums, told beside them, may
 * be far apart: what shows is each part's share. Parts too narrow for their number are left without.
 */
export function drawBars({ title, note, bars }: Bars): string {
  const sums = bars.map(({ parts }) => parts.reduce((sum, { value }) => sum + value, 0));
  const height = TOP + STEP * bars.length + 24;
  const names = bars[0]?.parts.map(({ name }) => name) ?? [];
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${WIDTH}" height="${height}" viewBox="0 0 ${WIDTH} ${height}" font-family="sans-serif" font-size="13" fill="#222">`,
    `<title>${escaped(title)}</title>`,
    `<rect width="${WIDTH}" height="${height}" fill="#fff"/>`,
    text(LEFT, 26, title, 'font-size="16"'),
    ...legend(names),
    ...bars.flatMap((bar, index) => drawBar(bar, TOP + STEP * index, sums[index]!)),
    text(LEFT, height - 10, note, 'fill="#666" font-size="11"'),
    '</svg>',
    '',
  ].join('\n');
}

function legend(names: readonly string[]): string[] {
  let x = LEFT;
  return names.flatMap((name, index) => {
    const square = `<rect x="${x}" y="42" width="12" height="12" fill="${COLOURS[index]}"/>`;
    const word = text(x + 18, 53, name);
    x += 18 + name.length * PER_LETTER + 20;
    return [square, word];
  });
}

function drawBar({ name, parts }: Bar, y: number, sum: number): string[] {
  const scale = (WIDTH - LEFT - RIGHT) / sum;
  const middle = y + BAR / 2 + 5;
  let x = LEFT;
  const drawn = parts.flatMap(({ value }, index) => {
    const [start, width, words] = [x, value * scale, short(value)];
    x += width;
    const rect = `<rect x="${start.toFixed(1)}" y="${y}" width="${width.toFixed(1)}" height="${BAR}" fill="${COLOURS[index]}"/>`;
    if (width < words.length * PER_LETTER + 6) return [rect];
    return [rect, text(start + width / 2, middle, words, 'fill="#fff" text-anchor="middle"')];
  });
  return [
    text(LEFT - 8, middle, name, 'text-anchor="end"'),
    ...drawn,
    text(x + 8, middle, `${short(sum)} ms`),
  ];
}

const text = (x: number, y: number, words: string, more = ''): string =>
  `<text x="${x.toFixed(1)}" y="${y}" ${more}>${escaped(words)}</text>`;

const escaped = (words: string): string =>
  words.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');
