import type { z } from 'zod';
import type { Path } from './document.js';
import { knownKeys, ofTheClip } from './known-keys.js';
import { didYouMean, listed } from './words.js';

/** One thing the schema found: where, and in what words. `key`: the fault is the field's name. */
export interface Fault {
  readonly path: Path;
  readonly message: string;
  readonly key?: 'key';
}

/** What zod says of a union whose variants tell their own faults. */
const UNTOLD = 'Invalid input';

/** `keyframes[2].fov` */
export const pathText = (path: Path): string =>
  path
    .map((step) => (typeof step === 'number' ? `[${step}]` : `.${step}`))
    .join('')
    .replace(/^\./u, '');

/** The inverse, for paths without dots or brackets in their names. */
export const pathOf = (text: string): Path =>
  (text.match(/[^.[\]]+/gu) ?? []).map((step) => (/^\d+$/u.test(step) ? Number(step) : step));

export const valueAt = (root: unknown, path: Path): unknown =>
  path.reduce<unknown>(
    (value, step) => (value as Record<string | number, unknown> | null | undefined)?.[step],
    root,
  );

export const isGroup = (value: unknown): value is Record<string | number, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** Zod's issues as faults in our words; `root` is the value that was checked. */
export function faultsOf(
  issues: readonly z.core.$ZodIssue[],
  root: unknown,
  base: Path = [],
): Fault[] {
  return issues.flatMap((issue): Fault[] => {
    const path = [...base, ...(issue.path as Path)];
    if (issue.code === 'unrecognized_keys') {
      return issue.keys.map((key) => unknownKey([...path, key], valueAt(root, path)));
    }
    if (issue.code === 'invalid_union' && issue.message === UNTOLD) {
      // Of the variants, the last takes groups; one that finds fault with parts takes lists.
      const within = issue.errors.find((issues) => issues.some((inner) => inner.path.length > 0));
      const variant = isGroup(valueAt(root, path))
        ? issue.errors.at(-1)
        : (within ?? issue.errors[0]);
      if (variant) return faultsOf(variant, root, path);
    }
    return [{ path, message: issue.message }];
  });
}

const only = (keys: readonly string[]): string =>
  keys.length === 1 ? `; the only field is ${keys[0]}` : `; the fields are ${listed(keys, 'and')}`;

function unknownKey(path: Path, group: unknown): Fault {
  const word = String(path.at(-1));
  if (ofTheClip(path)) {
    const message = 'holds for the whole clip: write it at the top of the file, beside shots';
    return { path, message, key: 'key' };
  }
  const keys = knownKeys(path.slice(0, -1), group);
  const message = `is not a field here${didYouMean(word, keys) || only(keys)}`;
  return { path, message, key: 'key' };
}
