import {
  type Document,
  isAlias,
  isMap,
  isScalar,
  isSeq,
  LineCounter,
  type Node,
  type ParsedNode,
  parseDocument,
  visit,
} from 'yaml';
import type { Problem } from '../errors.js';
import { unreadable } from './syntax.js';
import { describe } from './words.js';

export type Path = readonly (string | number)[];

/** A scene file's text, read but not yet checked. */
export interface Written {
  /** Undefined when the text is too broken to be checked. */
  readonly value: Readonly<Record<string, unknown>> | undefined;
  readonly problems: readonly Problem[];
  /** `file:line:column` of the value at `path` or of the nearest group round it; `key`: of its name. */
  place(path: Path, key?: 'key'): string;
}

/** Brackets nested deeper than this are no scene; the parser would run out of memory on many. */
const DEEPEST = 100;

/** Reads YAML 1.2 or JSON. `file` is what places name. */
export function readDocument(text: string, file: string): Written {
  const lines = new LineCounter();
  const whole = (message: string): Written => ({
    value: undefined,
    problems: [{ place: file, path: '', message }],
    place: () => file,
  });
  if (nesting(text) > DEEPEST) return whole('is nested too deeply for a scene');

  const document = parseDocument(text, {
    lineCounter: lines,
    prettyErrors: false,
    logLevel: 'error',
    // The parser's own check compares every key with every other.
    uniqueKeys: false,
  });
  const at = (offset: number): string => {
    const { line, col } = lines.linePos(offset);
    return `${file}:${Math.max(1, line)}:${Math.max(1, col)}`;
  };
  const place = (path: Path, key?: 'key'): string => at(offsetOf(document, path, key));
  const faults = [...unreadable(document, text, at), ...aliasProblems(document, at)];
  const problems = [...faults, ...twinProblems(document, at)];
  if (faults.length > 0) return { value: undefined, problems, place };
  const found = notAGroup(document.contents);
  if (found !== undefined) return whole(found);
  try {
    return { value: document.toJS() as Record<string, unknown>, problems, place };
  } catch {
    return whole('repeats parts of itself through * references too often for a scene');
  }
}

function notAGroup(contents: unknown): string | undefined {
  const expected = "a scene is written as fields: 'master: ...', 'duration: ...', 'keyframes: ...'";
  if (isMap(contents)) return undefined;
  if (isSeq(contents)) return `holds a list; ${expected}`;
  const value = isScalar(contents) ? contents.value : undefined;
  if (value === null || value === undefined) return `is empty; ${expected}`;
  const space = /^\w+:\S/u.test(String(value)) ? ' (a colon needs a space after it)' : '';
  return `holds only ${describe(value)}; ${expected}${space}`;
}

function aliasProblems(document: Document, at: (offset: number) => string): Problem[] {
  const problems: Problem[] = [];
  const fault = (node: { range?: readonly number[] | null }, message: string) =>
    problems.push({ place: at(node.range?.[0] ?? 0), path: '', message });
  visit(document, {
    Alias(_key, node, ancestors) {
      const target = node.resolve(document);
      if (target === undefined) {
        fault(node, `*${node.source} refers to nothing: no &${node.source} stands before it`);
      } else if (ancestors.includes(target)) {
        fault(node, `*${node.source} refers to a group that it is itself a part of`);
      }
    },
  });
  return problems;
}

/** Fields that stand twice in their group. */
function twinProblems(document: Document, at: (offset: number) => string): Problem[] {
  const problems: Problem[] = [];
  visit(document, {
    Map(_key, map) {
      const names = new Set<string>();
      for (const { key } of map.items) {
        const name = String(key);
        const message = `${describe(name)} stands twice in this group; keep one`;
        if (names.has(name)) problems.push({ place: at(rangeOf(key) ?? 0), path: '', message });
        names.add(name);
      }
    },
  });
  return problems;
}

/** Where in the text the node at `path` begins, or the deepest group on the way that exists. */
function offsetOf(document: Document, path: Path, key?: 'key'): number {
  let node: unknown = document.contents;
  let offset = rangeOf(node) ?? 0;
  for (const [index, step] of path.entries()) {
    if (isAlias(node)) node = node.resolve(document);
    if (isMap(node)) {
      const pair = node.items.find((item) => String((item.key as Node | null) ?? '') === step);
      if (!pair) return offset;
      const wantsKey = key !== undefined && index === path.length - 1;
      node = wantsKey ? pair.key : (pair.value ?? pair.key);
    } else if (isSeq(node) && typeof step === 'number') {
      node = node.items[step];
    } else return offset;
    offset = rangeOf(node) ?? offset;
  }
  return offset;
}

const rangeOf = (node: unknown): number | undefined => (node as ParsedNode | null)?.range?.[0];

/** How deep the brackets, or the list dashes of one line, nest; texts and comments count too. */
function nesting(text: string): number {
  let depth = 0;
  let deepest = 0;
  for (const sign of text) {
    if (sign === '[' || sign === '{') deepest = Math.max(deepest, ++depth);
    else if (sign === ']' || sign === '}') depth = Math.max(0, depth - 1);
  }
  for (const dashes of text.match(/(?:[-?:][ \t]+){8,}/gu) ?? []) {
    deepest = Math.max(deepest, dashes.replace(/[ \t]/gu, '').length);
  }
  return deepest;
}
