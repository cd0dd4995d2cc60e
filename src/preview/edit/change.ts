import { isDeepStrictEqual } from 'node:util';
import { type Document, isAlias, isCollection, isMap, isSeq, parseDocument } from 'yaml';
import { InputError } from '../../errors.js';
import type { Change, Place } from '../protocol.js';
import { insertItem } from './insert.js';
import { removeField, removeItem } from './remove.js';
import { setField } from './set.js';

/**
 * A scene file's text with one change made to it. Where it can be, only the characters in question are
 * touched; the result is read back, and where it does not say what it should, the change is made to the
 * YAML document model instead, which keeps comments and order and writes the rest its own way.
 *
 * @throws InputError where there is no such place, or an alias stands in the way
 */
export function changed(text: string, change: Change): string {
  const document = read(text);
  const wanted = expected(document, change);
  const careful = attempt(() => touched(text, document, change));
  if (careful !== undefined && says(careful, wanted)) return careful;
  const plain = attempt(() => rewritten(document, change));
  if (plain !== undefined && says(plain, wanted)) return plain;
  throw new InputError(
    'The scene file is written in a way that this change cannot be made in; make it in the text.',
  );
}

const read = (text: string): Document => parseDocument(text, { logLevel: 'error' }) as Document;

function attempt(work: () => string | undefined): string | undefined {
  try {
    return work();
  } catch {
    return undefined;
  }
}

function says(text: string, wanted: unknown): boolean {
  const document = read(text);
  return document.errors.length === 0 && isDeepStrictEqual(document.toJS(), wanted);
}

type Group = Record<string | number, unknown>;

/** What the file says after the change. */
function expected(document: Document, change: Change): unknown {
  const root = structuredClone(document.toJS()) as unknown;
  const home = (place: Place): Group => {
    const group = place.reduce<unknown>(
      (value, step) => (value as Group | undefined)?.[step],
      root,
    );
    if (typeof group !== 'object' || group === null) throw nowhere(place);
    return group as Group;
  };
  if (change.kind === 'insert') {
    const list = home(change.list);
    if (!Array.isArray(list)) throw nowhere(change.list);
    list.splice(change.index, 0, change.value);
    return root;
  }
  const [group, name] = [home(change.place.slice(0, -1)), change.place.at(-1)];
  if (name === undefined) throw nowhere(change.place);
  if (change.kind === 'set') group[name] = change.value;
  else if (!(name in group)) throw nowhere(change.place);
  else if (Array.isArray(group)) group.splice(Number(name), 1);
  else delete group[name];
  return root;
}

const nowhere = (place: Place): InputError =>
  new InputError(
    `The scene file has no ${place.join(' ')} to change; it may have been changed meanwhile.`,
  );

/** The text with only the characters in question changed; undefined where that cannot be done. */
function touched(text: string, document: Document, change: Change): string | undefined {
  const node = (place: Place): unknown => {
    let found: unknown = document.contents;
    for (const step of place) {
      if (isAlias(found)) return undefined;
      found = isCollection(found) ? found.get(step, true) : undefined;
    }
    return found;
  };
  if (change.kind === 'insert') {
    const list = node(change.list);
    return isSeq(list) ? insertItem(text, list, change.index, change.value) : undefined;
  }
  const home = node(change.place.slice(0, -1));
  const name = change.place.at(-1)!;
  if (change.kind === 'set') {
    return isMap(home) ? setField(text, home, String(name), change.value) : undefined;
  }
  if (isMap(home)) return removeField(text, home, String(name));
  return isSeq(home) ? removeItem(text, home, Number(name)) : undefined;
}

function rewritten(document: Document, change: Change): string {
  if (change.kind === 'insert') {
    const list = document.getIn(change.list, true);
    if (!isSeq(list)) throw nowhere(change.list);
    list.items.splice(change.index, 0, document.createNode(change.value));
  } else if (change.kind === 'set') document.setIn(change.place, change.value);
  else document.deleteIn(change.place);
  return document.toString({ lineWidth: 0 });
}
