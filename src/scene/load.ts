import { readFile, stat } from 'node:fs/promises';
import { basename, dirname, isAbsolute, join, resolve } from 'node:path';
import { InputError, type Problem } from '../errors.js';
import type { MasterFacts } from './direction.js';
import { readDocument } from './document.js';
import { byPlace, type Mention, mentions, readScene } from './parse.js';
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

/** Told the path of each scene file and master that is looked for, before it is. */
export type OnFile = (file: string) => void;

const unheard: OnFile = () => {};

/**
 * Reads and checks a scene file, with those that its shots are in, and sees that the masters are there.
 * `ask` is told the path of each master of which a heading is wanted where the scene does not say itself
 * where north is.
 *
 * @throws InputError with every problem of all of them.
 */
export async function loadScene(
  path: string,
  ask?: AskMaster,
  onFile: OnFile = unheard,
): Promise<Sequence> {
  const walk = { way: [], done: new Map(), ask, onFile };
  onFile(path);
  const { scene, problems } = await load(path, await readText(path), walk);
  if (scene === undefined) throw new InputError(problems);
  return scene;
}

/**
 * As `loadScene`, for a text that is not in its file yet, or no longer; the other files are read.
 *
 * @returns what is wrong with it rather than throwing it
 */
export const loadText = (path: string, text: string, ask?: AskMaster): Promise<Loaded> =>
  load(path, text, { way: [], done: new Map(), ask, onFile: unheard });

export interface Loaded {
  /** Undefined when there is any problem. */
  readonly scene: Sequence | undefined;
  readonly problems: readonly Problem[];
}

/** By absolute paths. */
interface Walk {
  /** The files through whose shots one came here. */
  readonly way: readonly string[];
  /** What all files read so far came to. */
  readonly done: Map<string, Sequence | undefined>;
  readonly ask: AskMaster | undefined;
  readonly onFile: OnFile;
}

async function load(path: string, text: string, walk: Walk): Promise<Loaded> {
  const written = readDocument(text, path);
  const { done, ask, onFile } = walk;
  const here = { ...walk, way: [...walk.way, resolve(path)] };
  const nested = new Map<string, Sequence | undefined>();
  const [own, others]: [Problem[], Problem[]] = [[], []];
  for (const mention of mentions(written, 'scene')) {
    const { name, place, path: field } = mention;
    if (nested.has(name)) continue;
    const { scene, problems } = await loadNested(besides(path, name), mention, here);
    nested.set(name, scene);
    const at = (problem: Problem) => problem.place === place && problem.path === field;
    own.push(...problems.filter(at));
    others.push(...problems.filter((problem) => !at(problem)));
  }
  const first = readScene(written, path, { nested });
  const missing = await Promise.all(
    first.masters.map((mention) => {
      const master = resolve(dirname(path), mention.name);
      onFile(master);
      return masterProblems(master, mention);
    }),
  );
  own.push(...missing.flat());
  const asked = ask !== undefined && first.askHeading.size > 0 && missing.flat().length === 0;
  const { scene, problems } = asked
    ? readScene(written, path, { nested, factsOf: await factsOf([...first.askHeading], ask) })
    : first;
  const all = [...byPlace([...own, ...problems]), ...others];
  const whole = all.length > 0 ? undefined : scene;
  done.set(resolve(path), whole);
  return { scene: whole, problems: all };
}

async function factsOf(masters: readonly string[], ask: AskMaster) {
  const known = new Map<string, MasterFacts>();
  for (const master of masters) known.set(master, await ask(master));
  return (master: string): MasterFacts => known.get(master) ?? {};
}

/** Another scene file; that it cannot be read is a problem of the one that names it. */
async function loadNested(file: string, mention: Mention, walk: Walk): Promise<Loaded> {
  const { name, place, path } = mention;
  const fail = (message: string) => ({ scene: undefined, problems: [{ place, path, message }] });
  const { way, done } = walk;
  // Its mistakes have been told.
  if (done.has(resolve(file))) return { scene: done.get(resolve(file)), problems: [] };
  const round = way.indexOf(resolve(file));
  if (round >= 0) {
    const circle = [...way.slice(round), resolve(file)].map((one) => basename(one)).join(' > ');
    return fail(`leads round in a circle: ${circle}`);
  }
  walk.onFile(file);
  try {
    return await load(file, await readText(file), walk);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return fail(`${name}: ${error.problems.map(({ message }) => message).join('; ')}`);
  }
}

/** The path of a file that the scene at `path` names, as short as that one. */
const besides = (path: string, name: string): string =>
  isAbsolute(name) ? name : join(dirname(path), name);

async function masterProblems(file: string, { name, place, path }: Mention): Promise<Problem[]> {
  const problem = (message: string) => [{ place, path, message }];
  const facts = await stat(file).catch((error: NodeJS.ErrnoException) => error);
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
