import { isMap, type YAMLMap, type YAMLSeq } from 'yaml';
import {
  columnOf,
  endOf,
  inline,
  lineEnd,
  lineStart,
  newline,
  quotesNames,
  startOf,
} from './text.js';

type Fields = Readonly<Record<string, unknown>>;

/** The text with a group put into a list, written as its neighbour is. */
export function insertItem(
  text: string,
  list: YAMLSeq,
  index: number,
  value: Fields,
): string | undefined {
  const neighbour = list.items[Math.max(0, index - 1)];
  if (!isMap(neighbour)) return undefined;
  return list.flow
    ? insertBetweenCommas(text, list, index, value, neighbour)
    : insertLines(text, list, index, value, neighbour);
}

function insertBetweenCommas(
  text: string,
  list: YAMLSeq,
  index: number,
  value: Fields,
  neighbour: YAMLMap,
): string {
  const start = startOf(neighbour);
  const ownLine = text.slice(lineStart(text, start), start).trim() === '';
  const indent = ' '.repeat(columnOf(text, start));
  const gap = ownLine ? newline(text) + indent : ' ';
  const json = quotesNames(neighbour);
  const spread = ownLine && text.slice(start, endOf(neighbour)).includes('\n');
  const item = spread ? spreadOut(value, text, indent, neighbour) : inline(value, json);
  if (index === 0) return `${text.slice(0, start)}${item},${gap}${text.slice(start)}`;
  const end = endOf(list.items[index - 1]);
  return `${text.slice(0, end)},${gap}${item}${text.slice(end)}`;
}

/** A group in brackets, one field a line. */
function spreadOut(value: Fields, text: string, indent: string, neighbour: YAMLMap): string {
  const json = quotesNames(neighbour);
  const inner = ' '.repeat(columnOf(text, startOf(neighbour.items[0]?.key)));
  const line = newline(text);
  const fields = Object.entries(value).map(
    ([name, field]) => `${inner}${inline(name, json)}: ${inline(field, json)}`,
  );
  return `{${line}${fields.join(`,${line}`)}${line}${indent}}`;
}

function insertLines(
  text: string,
  list: YAMLSeq,
  index: number,
  value: Fields,
  neighbour: YAMLMap,
): string | undefined {
  const dash = text.lastIndexOf('-', startOf(neighbour) - 1);
  const indent = text.slice(lineStart(text, dash), dash);
  if (indent.trim() !== '') return undefined;
  const line = newline(text);
  const json = quotesNames(neighbour);
  const after = text.slice(dash + 1, startOf(neighbour));
  const gap = after.trim() === '' && !after.includes('\n') ? after : ' ';
  const fields = Object.entries(value).map(
    ([name, field]) => `${inline(name, json)}: ${inline(field, json)}`,
  );
  const inner = `${line}${indent} ${gap}`;
  const item = `${indent}-${gap}${neighbour.flow ? inline(value, json) : fields.join(inner)}`;
  if (index === 0) {
    const at = lineStart(text, dash);
    return `${text.slice(0, at)}${item}${line}${text.slice(at)}`;
  }
  const at = lineEnd(text, endOf(list.items[index - 1]));
  const apart = isSpaced(text, list) ? line : '';
  return `${text.slice(0, at)}${line}${apart}${item}${text.slice(at)}`;
}

/** Whether empty lines stand between the list's items. */
function isSpaced(text: string, list: YAMLSeq): boolean {
  const [first, second] = list.items;
  if (second === undefined) return false;
  return /\n[ \t]*\r?\n/u.test(text.slice(endOf(first), startOf(second)));
}
