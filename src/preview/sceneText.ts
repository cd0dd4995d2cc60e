import { dirname, resolve } from 'node:path';
import { parseDocument } from 'yaml';
import { statedHeading } from '../master/level/pose.js';
import { type Loaded, loadText } from '../scene/load.js';

/** Reads a scene's text as if it were in `file`, with all that is wrong with it. */
export const readSceneText = (text: string, file: string): Promise<Loaded> =>
  loadText(file, text, statedHeading);

/** What a text says, as far as it can be read at all. */
export function plainValue(text: string): Readonly<Record<string, unknown>> {
  try {
    const value: unknown = parseDocument(text, { logLevel: 'error' }).toJS();
    return typeof value === 'object' && value !== null ? (value as Record<string, unknown>) : {};
  } catch {
    return {};
  }
}

/** Fields of scenes that name files to be read. */
const FILE_FIELDS = new Set(['master', 'scene', 'image', 'font', 'sound', 'audio']);

/** The folders of all files that a text names, and of `file` itself. */
export function foldersNamed(text: string, file: string): ReadonlySet<string> {
  const folder = dirname(resolve(file));
  const found = new Set([folder]);
  const visit = (value: unknown, field: string | undefined): void => {
    if (typeof value === 'string' && field !== undefined && FILE_FIELDS.has(field)) {
      found.add(dirname(resolve(folder, value)));
    } else if (typeof value === 'object' && value !== null) {
      const inside = field !== undefined && FILE_FIELDS.has(field);
      for (const [name, one] of Object.entries(value)) visit(one, inside ? field : name);
    }
  };
  visit(plainValue(text), undefined);
  return found;
}
