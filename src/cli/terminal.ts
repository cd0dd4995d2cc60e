import util from 'node:util';

type Format = Parameters<typeof util.styleText>[0];

/** Coloured where a person looks at `stream` and has not asked for none (NO_COLOR, TERM=dumb). */
export function paint(format: Format, text: string, stream = process.stdout): string {
  // Absent before Node 20.12.
  const style = util.styleText as typeof util.styleText | undefined;
  if (style === undefined || !stream.isTTY || !stream.hasColors()) return text;
  return style(format, text, { validateStream: false });
}

/** The command's result. */
export function print(text: string): void {
  process.stdout.write(`${text}\n`);
}

/** What a person likes to know meanwhile. */
export function note(text: string): void {
  process.stderr.write(`${text}\n`);
}

export function printProblems(lines: readonly string[]): void {
  for (const line of lines) note(line);
}

export const asJson = (value: unknown): string => JSON.stringify(value, null, 2);

/** Rows as columns, two spaces apart; without spaces at the lines' ends. */
export function columns(rows: readonly (readonly string[])[]): string {
  const widths: number[] = [];
  for (const row of rows) {
    for (const [index, cell] of row.entries()) {
      widths[index] = Math.max(widths[index] ?? 0, cell.length);
    }
  }
  return rows
    .map((row) =>
      row
        .map((cell, index) => cell.padEnd(widths[index] ?? 0))
        .join('  ')
        .trimEnd(),
    )
    .join('\n');
}
