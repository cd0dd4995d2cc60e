import { dirname, resolve } from 'node:path';
import type { z } from 'zod';
import { InputError, type Problem } from '../errors.js';
import { aimScene } from './aim.js';
import { checkBall } from './ball-check.js';
import type { MasterFacts } from './direction.js';
import { type Path, readDocument, type Written } from './document.js';
import { type Fault, faultsOf, pathText, valueAt } from './faults.js';
import { checkFraming } from './framing-check.js';
import { meantBy, mend } from './mend.js';
import { type Master, type Report, resolveScene } from './resolve.js';
import { sceneSchema } from './schema.js';
import { sequenceOf } from './sequence.js';
import { type Nested, resolveShots, type Reading as ShotsReading } from './shots/read.js';
import { fileSchema } from './shots/schema.js';
import type { Scene, Sequence } from './types.js';
import { MISSING } from './words.js';

/** A scene file's text with all that is wrong with it. */
export interface Reading {
  /** Undefined when there is any problem. */
  readonly scene: Sequence | undefined;
  /** In order of place. */
  readonly problems: readonly Problem[];
  /** The masters that the text names, and where. */
  readonly masters: readonly Mention[];
  /** Absolute paths of the masters of which the centre's heading was asked for and not known. */
  readonly askHeading: ReadonlySet<string>;
}

/** A file that a scene names. */
export interface Mention {
  readonly name: string;
  readonly place: string;
  /** As in problems: `shots[1].master`. */
  readonly path: string;
}

/**
 * Checks a scene file's text (YAML 1.2 or JSON) without looking at the masters. `file` is the scene's
 * path, absolute or relative to the working folder; places name it as given. `facts`: what is known of
 * the masters.
 *
 * @throws InputError with every problem; also for shots that other files hold, which are not read here
 */
export function parseSequence(text: string, file: string, facts: MasterFacts = {}): Sequence {
  const written = readDocument(text, file);
  const { scene, problems } = readScene(written, file, { factsOf: () => facts });
  if (scene === undefined) throw new InputError(problems);
  return scene;
}

/** As `parseSequence`, for a file of one shot. */
export function parseScene(text: string, file: string, facts: MasterFacts = {}): Scene {
  const [scene, ...more] = parseSequence(text, file, facts).shots;
  if (scene !== undefined && more.length === 0) return scene;
  throw new InputError([{ place: file, path: 'shots', message: 'one shot is wanted here' }]);
}

/** What a scene's text is read with. */
export interface Knowledge {
  /** The other scene files that this one's shots are in. */
  readonly nested?: Nested;
  /** What is known of a master, by its absolute path. */
  readonly factsOf?: (master: string) => MasterFacts;
}

export function readScene(
  written: Written,
  file: string,
  { nested = new Map(), factsOf = () => ({}) }: Knowledge = {},
): Reading {
  const found: Fault[] = [];
  const { value } = written;
  const askHeading = new Set<string>();
  const masterOf = (name: string): Master => {
    const path = resolve(dirname(file), name);
    return { ...factsOf(path), onAsked: () => askHeading.add(path) };
  };
  const scene = value && check(value, { file, nested, masterOf, found });
  const problems = counted(byPlace([...written.problems, ...told(found, written, file)]), file);
  return {
    scene: problems.length > 0 ? undefined : scene,
    problems,
    masters: mentions(written, 'master'),
    askHeading,
  };
}

/** The files named in the field `field` of the scene and of its shots. */
export function mentions(written: Written, field: 'master' | 'scene'): Mention[] {
  const shots = written.value?.shots;
  const count = Array.isArray(shots) ? shots.length : 0;
  const paths: Path[] = [
    ...(field === 'master' ? [[field]] : []),
    ...Array.from({ length: count }, (_, index) => ['shots', index, field]),
  ];
  return paths.flatMap((path) => {
    const name = valueAt(written.value, path);
    if (typeof name !== 'string' || name === '') return [];
    return [{ name, place: written.place(path), path: pathText(path) }];
  });
}

/** Adds to `found` what is wrong with `value`; the scene is whole only when nothing is. */
function check(
  value: Readonly<Record<string, unknown>>,
  context: Omit<ShotsReading, 'framed'>,
): Sequence | undefined {
  const { file, masterOf, found } = context;
  if ('shots' in value) {
    const checked = checkFields(fileSchema, value, found);
    return checked && resolveShots(checked.fields, { ...context, framed: checked.framed });
  }
  const checked = checkFields(sceneSchema, value, found);
  if (checked === undefined) return undefined;
  const report: Report = (path, message) => found.push({ path, message });
  const { fields, framed } = checked;
  const scene = resolveScene(fields, file, report, masterOf(fields.master));
  if (framed) {
    checkFraming(scene, report);
    checkBall(scene, report);
  }
  return sequenceOf(file, [found.length > 0 ? scene : aimScene(scene, report)]);
}

interface Checked<T> {
  readonly fields: T;
  /** False when something that the field of view depends on had to be left out. */
  readonly framed: boolean;
}

/** The fields as far as they are right or can be mended; undefined when they cannot. */
function checkFields<T>(
  schema: z.ZodType<T>,
  value: unknown,
  found: Fault[],
): Checked<T> | undefined {
  const first = schema.safeParse(value);
  if (first.success) return { fields: first.data, framed: true };
  found.push(...faultsOf(first.error.issues, value));
  const mended = mend(value, found);
  if (mended === undefined) return undefined;
  const second = schema.safeParse(mended.value);
  if (second.success) return { fields: second.data, framed: mended.framed };
  // What is said of a group only follows from what had to be left out of it.
  const known = new Set(
    found.flatMap(({ path }) => path.map((_, index) => pathText(path.slice(0, index + 1)))),
  );
  const more = faultsOf(second.error.issues, mended.value);
  found.push(...more.filter(({ path }) => !known.has(pathText(path))));
  return undefined;
}

/** More than this many mistakes of one file are only counted. */
const MOST_TOLD = 100;

/** The faults as problems, each once; a field that a slip was meant for does not count as missing. */
function told(faults: readonly Fault[], written: Written, file: string): Problem[] {
  const meant = new Set(
    faults.map((fault) => pathText([...fault.path.slice(0, -1), meantBy(fault)])),
  );
  // What was only left out because it is wrong is not missing.
  for (const { path, message } of faults) {
    if (!message.startsWith(MISSING)) meant.add(pathText(path));
  }
  const problems = new Map<string, Problem>();
  for (const { path, message, key } of faults) {
    const text = pathText(path);
    if (message.startsWith(MISSING) && meant.has(text)) continue;
    const place = problems.size < MOST_TOLD ? written.place(path, key) : file;
    problems.set(`${text} ${message}`, { place, path: text, message });
  }
  return [...problems.values()];
}

function counted(problems: readonly Problem[], file: string): readonly Problem[] {
  if (problems.length <= MOST_TOLD) return problems;
  const message = `has ${problems.length - MOST_TOLD} more mistakes`;
  return [...problems.slice(0, MOST_TOLD), { place: file, path: '', message }];
}

/** Where problems without a line go. */
const LAST = [Number.MAX_SAFE_INTEGER, 0];

export function byPlace(problems: readonly Problem[]): Problem[] {
  const position = (place: string) => /:(\d+):(\d+)$/u.exec(place)?.slice(1).map(Number) ?? LAST;
  return problems.toSorted((a, b) => {
    const [[lineA = 0, columnA = 0], [lineB = 0, columnB = 0]] = [a, b].map(({ place }) =>
      position(place),
    ) as [number[], number[]];
    return lineA - lineB || columnA - columnB;
  });
}
