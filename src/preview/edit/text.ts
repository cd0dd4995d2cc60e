import { isMap, isSeq, type Node, type Pair, type Scalar, stringify, type YAMLMap } from 'yaml';

/** Pieces of text as a scene file has them round the place that is changed. */

/** A parsed node: where it begins, and where its own text ends. */
export interface Located {
  readonly range: readonly [start: number, end: number, all: number];
}

export const located = (node: unknown): node is Located =>
  (node as Partial<Located> | null)?.range !== undefined && (node as Located).range !== null;

export const startOf = (node: unknown): number => (located(node) ? node.range[0] : Number.NaN);

/** Where the last word in a node ends; a block's own range runs on over comments and empty lines. */
export function endOf(node: unknown): number {
  if ((isMap(node) || isSeq(node)) && !node.flow) {
    const last: unknown = node.items.at(-1);
    if (isSeq(node)) return last === undefined ? Number.NaN : endOf(last);
    const pair = last as Pair | undefined;
    const end = endOf(pair?.value);
    return Number.isNaN(end) ? endOf(pair?.key) : end;
  }
  return located(node) ? node.range[1] : Number.NaN;
}

export const lineStart = (text: string, at: number): number => text.lastIndexOf('\n', at - 1) + 1;

/** The line's end, before its line break. */
export function lineEnd(text: string, at: number): number {
  const end = text.indexOf('\n', at);
  const stop = end < 0 ? text.length : end;
  return text[stop - 1] === '\r' && stop > at ? stop - 1 : stop;
}

/** Past the line break. */
export const nextLine = (text: string, at: number): number => {
  const end = text.indexOf('\n', at);
  return end < 0 ? text.length : end + 1;
};

export const columnOf = (text: string, at: number): number => at - lineStart(text, at);

export const newline = (text: string): string => (text.includes('\r\n') ? '\r\n' : '\n');

/** Whether this map writes its names as JSON does. */
export const quotesNames = (map: YAMLMap | undefined): boolean =>
  map?.items.some(({ key }) => (key as Scalar | null)?.type === 'QUOTE_DOUBLE') ?? false;

/** A value on one line. */
export function inline(value: unknown, json: boolean): string {
  if (Array.isArray(value)) return `[${value.map((item) => inline(item, json)).join(', ')}]`;
  if (typeof value === 'object' && value !== null) {
    const fields = Object.entries(value).map(
      ([name, item]) => `${inline(name, json)}: ${inline(item, json)}`,
    );
    return fields.length === 0 ? '{}' : `{ ${fields.join(', ')} }`;
  }
  if (json) return JSON.stringify(value);
  const options = { lineWidth: 0, singleQuote: true } as const;
  const text = stringify(value, options).trimEnd();
  // Within brackets a comma or a bracket would end a plain text.
  const plain = typeof value === 'string' && text === value;
  return plain && /[,[\]{}]/u.test(value) ? `'${value.replaceAll("'", "''")}'` : text;
}

/** A scalar in the quotes of the one that it replaces. */
export function inStyleOf(old: unknown, value: unknown, json: boolean): string {
  const { type } = (old ?? {}) as Partial<Scalar>;
  if (typeof value !== 'string') return inline(value, json);
  if (type === 'QUOTE_DOUBLE') return JSON.stringify(value);
  if (type === 'QUOTE_SINGLE') return `'${value.replaceAll("'", "''")}'`;
  return inline(value, json);
}

export type { Node };
