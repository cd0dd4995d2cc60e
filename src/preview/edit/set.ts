import { isCollection, isScalar, type Pair, type YAMLMap } from 'yaml';
import {
  columnOf,
  endOf,
  inline,
  inStyleOf,
  lineEnd,
  lineStart,
  newline,
  quotesNames,
  startOf,
} from './text.js';

/** The order in which people write a keyframe's fields. */
const ORDER = ['at', 'yaw', 'pitch', 'roll', 'fov', 'fovSide', 'projection', 'ease', 'turn'];

const nameOf = (pair: Pair): string => String(isScalar(pair.key) ? pair.key.value : pair.key);

/** The text with a field of `map` set or added; undefined where the map is written too oddly. */
export function setField(
  text: string,
  map: YAMLMap,
  name: string,
  value: unknown,
): string | undefined {
  const json = quotesNames(map);
  const pair = map.items.find((item) => nameOf(item) === name);
  if (pair === undefined) return addField(text, map, name, value, json);
  const [from, to] = [startOf(pair.value), endOf(pair.value)];
  if (Number.isNaN(from) || Number.isNaN(to)) return undefined;
  const isBlock = isCollection(pair.value) && !pair.value.flow;
  const written = inStyleOf(pair.value, value, json);
  if (!isBlock) return text.slice(0, from) + written + text.slice(to);
  return `${text.slice(0, endOf(pair.key))}: ${written}${text.slice(to)}`;
}

function addField(
  text: string,
  map: YAMLMap,
  name: string,
  value: unknown,
  json: boolean,
): string | undefined {
  const field = `${inline(name, json)}: ${inline(value, json)}`;
  const [first] = map.items;
  if (first === undefined) {
    if (!map.flow) return undefined;
    return `${text.slice(0, startOf(map))}{ ${field} }${text.slice(endOf(map))}`;
  }
  const before = predecessor(map, name);
  const end = Number.isNaN(endOf(before.value)) ? endOf(before.key) + 1 : endOf(before.value);
  if (!map.flow) {
    const at = lineEnd(text, end);
    const indent = ' '.repeat(columnOf(text, startOf(first.key)));
    return `${text.slice(0, at)}${newline(text)}${indent}${field}${text.slice(at)}`;
  }
  const key = startOf(first.key);
  const ownLine = text.slice(lineStart(text, key), key).trim() === '';
  const gap = ownLine ? newline(text) + ' '.repeat(columnOf(text, key)) : ' ';
  return `${text.slice(0, end)},${gap}${field}${text.slice(end)}`;
}

/** The field after which `name` is written. */
function predecessor(map: YAMLMap, name: string): Pair {
  const place = ORDER.indexOf(name);
  const earlier = map.items.filter((item) => {
    const index = ORDER.indexOf(nameOf(item));
    return place < 0 || (index >= 0 && index < place);
  });
  return (earlier.at(-1) ?? map.items.at(-1)) as Pair;
}
