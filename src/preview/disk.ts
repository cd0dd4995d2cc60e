import { readFile, writeFile } from 'node:fs/promises';
import { basename, dirname, extname, join } from 'node:path';
import { diskError } from '../encode/disk.js';
import { exists, openTarget } from '../encode/target.js';
import { InputError } from '../errors.js';

/** Larger files are no scenes; scene/load.ts says the same of them. */
export const LARGEST_TEXT = 1 << 20;

/** A text file as it is now; undefined when there is none or it is none. */
export async function readText(file: string): Promise<string | undefined> {
  const bytes = await readFile(file).catch(() => undefined);
  if (bytes === undefined || bytes.length > LARGEST_TEXT) return undefined;
  try {
    // A mark at the start stays: it is the user's.
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    return undefined;
  }
}

/** Writes a text whole or not at all; a link stays a link, and the file's permissions what they are. */
export async function writeText(file: string, text: string, overwrite: boolean): Promise<void> {
  const target = await openTarget(file, overwrite);
  try {
    await writeFile(target.temporary, text);
  } catch (error) {
    await target.discard();
    throw diskError(error, file);
  }
  await target.commit();
}

/** A name beside `file` that is not taken: `intro-mine.yaml`, `intro-mine-2.yaml` ... */
export async function freeName(file: string, ending: string, extension = extname(file)) {
  const stem = `${basename(file, extname(file))}${ending}`;
  for (let number = 1; ; number++) {
    const name = `${stem}${number === 1 ? '' : `-${number}`}${extension}`;
    if (!(await exists(join(dirname(file), name)))) return join(dirname(file), name);
  }
}

const SCENE_NAME = /^[^/\\:*?"<>|\p{Cc}]{1,100}$/u;

/** A plain file name for a scene, `.yaml` added where it has no ending. @throws InputError */
export function sceneName(name: string): string {
  const trimmed = name.trim();
  const whole = /\.(ya?ml|json)$/iu.test(trimmed) ? trimmed : `${trimmed}.yaml`;
  if (!SCENE_NAME.test(whole) || whole.startsWith('.')) {
    throw new InputError(
      'The name must be a plain file name such as intro.yaml: the scene stays in its folder.',
    );
  }
  return whole;
}
