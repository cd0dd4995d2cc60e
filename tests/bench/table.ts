import { isMet } from './measure.js';
import type { Entry, Target } from './types.js';

const HEAD = ['work', 'ours', 'against', 'ratio', 'target', 'met?'];
const NUMBERS = new Set(['ours', 'ratio']);

/** A table in Markdown, in equal columns; then what the figures were taken on, and notes. */
export function formatTable(entries: readonly Entry[]): string {
  const cells = entries.map(cellsOf);
  const widths = HEAD.map((head, column) =>
    Math.max(head.length, ...cells.map((row) => row[column]!.length)),
  );
  const line = (row: readonly string[]) =>
    `| ${row
      .map((cell, column) => {
        const width = widths[column]!;
        return NUMBERS.has(HEAD[column]!) ? cell.padStart(width) : cell.padEnd(width);
      })
      .join(' | ')} |`;
  const rule = `| ${widths
    .map((width, column) =>
      NUMBERS.has(HEAD[column]!) ? `${'-'.repeat(width - 1)}:` : '-'.repeat(width),
    )
    .join(' | ')} |`;
  return [line(HEAD), rule, ...cells.map(line), '', ...circumstances(entries)].join('\n');
}

function cellsOf(entry: Entry): string[] {
  const met = isMet(entry);
  return [
    entry.work,
    `${short(entry.ours)} ${entry.unit}`,
    `${short(entry.theirs)} ${entry.unit}: ${entry.against}`,
    entry.ratio.toFixed(2),
    entry.target === undefined ? '' : targetText(entry.target),
    met === undefined ? '' : met ? 'yes' : 'NO',
  ];
}

/** One result in a line. */
export function briefly({ ours, unit, theirs, ratio }: Entry): string {
  return `    ${short(ours)} ${unit} against ${short(theirs)}: ${ratio.toFixed(2)}`;
}

const targetText = ({ kind, value }: Target): string => `${kind} ${value}`;

/** Three digits, or all of a larger number's. */
export const short = (value: number): string =>
  value >= 100 ? value.toFixed(0) : String(Number(value.toPrecision(3)));

function circumstances(entries: readonly Entry[]): string[] {
  return entries.map(({ work, renderer, cpus, load, othersBusy, note }) => {
    const others =
      othersBusy === undefined ? '' : `, ${short(othersBusy)} cores busy with other programs`;
    const where = `${renderer}, ${cpus} CPUs, load ${short(load)}${others}`;
    return `- ${work}: ${where}.${note === undefined ? '' : ` ${note}`}`;
  });
}

/** The same for programs; `met` is null where there is no target. */
export function formatJson(entries: readonly Entry[], about: object): string {
  const rows = entries.map((entry) => ({ ...entry, met: isMet(entry) ?? null }));
  return `${JSON.stringify({ ...about, rows }, null, 2)}\n`;
}
