import { readFile, stat } from 'node:fs/promises';
import { dirname, resolve } from 'node:path';
import { InputError, type Problem } from '../errors.js';
import type { MasterFacts } from './direction.js';
import { byPlace, type Reading, readScene } from './parse.js';
import { sequenceOf } from './sequence.js';
import type { Sequence } from './types.js';

/** A scene is a page of text; anything larger is another kind of file. */
const LARGEST_BYTES = 1 << 20;

/** What a file's first bytes, in hexadecimal, say that it is. */
const KINDS: readonly (readonly [kind: string, start: RegExp])[] = [
  ['a JPEG picture', /^ffd8ff/u],
  ['a PNG picture', /^89504e47/u],
  ['a TIFF picture', /^(49492a00|49492b00|4d4d002a|4d4d002b)/u],
  ['a WebP picture', /^52494646.{8}57454250/u],
  ['a GIF picture', /^47494638/u],
  ['an AVIF or HEIC picture', /^.{8}66747970(61766966|61766973|68656963|6d696631)/u],
  ['a video', /^(.{8}66747970|1a45dfa3)/u],
  ['a PDF', /^25504446/u],
  ['an archive', /^(504b0304|1f8b)/u],
];

const A_SCENE = "a scene is a text file; 'orbreel new NAME --master FILE' writes one to start from";

/** Finds out what is known of a master; asked only when a scene needs it. */
export type AskMaster = (file: string) => Promise<MasterFacts>;

/**
 * Reads and checks a scene file and sees that its master is there. `ask` is told the master's path when
 * the scene has headings and does not say itself where north is.
 *
 * @throws InputError with every problem of the file.
 */
export async function loadScene(path: string, ask?: AskMaster): Promise<Sequence> {
  const text = await readText(path);
  const first = readScene(text, path);
  const { master } = first;
  const missing = master ? await masterProblem(resolve(dirname(path), master.name), master) : [];
  const asked = ask && first.asksHeading && master && missing.length === 0;
  const { scene, problems }: Reading = asked
    ? readScene(text, path, await ask(resolve(dirname(path), master.name)))
    : first;
  if (scene === undefined || missing.length > 0)
    throw new InputError(byPlace([...missing, ...problems]));
  return sequenceOf(path, [scene]);
}

async function masterProblem(
  path: string,
  { name, place }: { readonly name: string; readonly place: string },
): Promise<Problem[]> {
  const problem = (message: string) => [{ place, path: 'master', message }];
  const facts = await stat(path).catch((error: NodeJS.ErrnoException) => error);
  if (facts instanceof Error) {
    const where = "; the path counts from the scene file's folder";
    return problem(because(facts, `file ${name}`) + where);
  }
  return facts.isFile() ? [] : problem(`takes a picture, found the folder ${name}`);
}

async function readText(path: string): Promise<string> {
  const fail = (message: string) => new InputError([{ place: path, path: '', message }]);
  const facts = await stat(path).catch((error: NodeJS.ErrnoException) => error);
  if (facts instanceof Error) throw fail(because(facts, 'such file'));
  if (facts.isDirectory()) throw fail(`is a folder; ${A_SCENE}`);
  if (!facts.isFile()) throw fail(`is no ordinary file; ${A_SCENE}`);
  const bytes = await readFile(path).catch((error: NodeJS.ErrnoException) => error);
  if (bytes instanceof Error) throw fail(because(bytes, 'such file'));
  const start = bytes.subarray(0, 16).toString('hex');
  const kind = KINDS.find(([, pattern]) => pattern.test(start))?.[0];
  if (kind !== undefined) throw fail(`is ${kind}; ${A_SCENE}`);
  if (bytes.length > LARGEST_BYTES) throw fail(`is larger than 1 MiB; ${A_SCENE}`);
  if (/^(fffe|feff)/u.test(start)) throw fail('is stored as UTF-16; store it as UTF-8');
  if (bytes.includes(0)) throw fail(`is no text; ${A_SCENE}`);
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    throw fail('is not stored as UTF-8; store it as UTF-8');
  }
}

function because({ code, message }: NodeJS.ErrnoException, what: string): string {
  if (code === 'ENOENT' || code === 'ENOTDIR') return `there is no ${what}`;
  if (code === 'EACCES' || code === 'EPERM') return 'may not be read: permission denied';
  return `cannot be read (${message.split(',')[0]})`;
}
