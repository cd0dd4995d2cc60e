import { isScalar, type Pair, type YAMLMap, type YAMLSeq } from 'yaml';
import { endOf, lineStart, nextLine, startOf } from './text.js';

/** The text without a field of `map`; undefined where the map is written too oddly. */
export function removeField(text: string, map: YAMLMap, name: string): string | undefined {
  const index = map.items.findIndex(({ key }) => String(isScalar(key) ? key.value : key) === name);
  const pair = map.items[index];
  if (pair === undefined || map.items.length === 1) return undefined;
  const from = startOf(pair.key);
  const next = map.items[index + 1];
  // A list's dash stands before the first field: the next one comes up to it.
  if (index === 0) return text.slice(0, from) + text.slice(startOf(next?.key));
  if (map.flow)
    return text.slice(0, endOfPair(map.items[index - 1]!)) + text.slice(endOfPair(pair));
  return text.slice(0, lineStart(text, from)) + text.slice(nextLine(text, endOfPair(pair)));
}

function endOfPair(pair: Pair): number {
  const end = endOf(pair.value);
  return Number.isNaN(end) ? endOf(pair.key) + 1 : end;
}

/** The text without an item of a list, and without the comment lines right above it. */
export function removeItem(text: string, list: YAMLSeq, index: number): string | undefined {
  const item = list.items[index];
  if (item === undefined || list.items.length === 1) return undefined;
  if (list.flow) {
    if (index === 0) return text.slice(0, startOf(item)) + text.slice(startOf(list.items[1]));
    return text.slice(0, endOf(list.items[index - 1])) + text.slice(endOf(item));
  }
  const dash = text.lastIndexOf('-', startOf(item) - 1);
  let from = lineStart(text, dash);
  if (text.slice(from, dash).trim() !== '') return undefined;
  while (index > 0 && from > 0) {
    const above = lineStart(text, from - 1);
    if (!text.slice(above, from).trim().startsWith('#')) break;
    from = above;
  }
  const to = nextLine(text, endOf(item));
  const [before, after] = [text.slice(0, from), text.slice(to)];
  // Two empty lines in a row would tell of what stood between.
  const doubled = /\n[ \t]*\r?\n$/u.test(before) && /^([ \t]*\r?\n|$)/u.test(after);
  if (!doubled) return before + after;
  return after === ''
    ? before.replace(/[ \t]*\r?\n$/u, '')
    : before + after.replace(/^[ \t]*\r?\n/u, '');
}
