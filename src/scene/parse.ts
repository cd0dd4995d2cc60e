import { InputError, type Problem } from '../errors.js';
import { aimScene } from './aim.js';
import type { MasterFacts } from './direction.js';
import { readDocument, type Written } from './document.js';
import { type Fault, faultsOf, pathText } from './faults.js';
import { checkFraming } from './framing-check.js';
import { meantBy, mend } from './mend.js';
import { type Master, type Report, resolveScene } from './resolve.js';
import { type SceneFields, sceneSchema } from './schema.js';
import { sequenceOf } from './sequence.js';
import type { Scene, Sequence } from './types.js';
import { MISSING } from './words.js';

/** A scene file's text with all that is wrong with it. */
export interface Reading {
  /** Undefined when there is any problem. */
  readonly scene: Scene | undefined;
  /** In order of place. */
  readonly problems: readonly Problem[];
  /** The master as the text names it, when it does, and where. */
  readonly master: { readonly name: string; readonly place: string } | undefined;
  /** Whether the heading of the master's centre was asked for and not known. */
  readonly asksHeading: boolean;
}

/**
 * Checks a scene file's text (YAML 1.2 or JSON) without looking at the master. `file` is the scene's
 * path, absolute or relative to the working folder; places name it as given. `facts`: what is known of
 * the master.
 *
 * @throws InputError with every problem.
 */
export const parseSequence = (text: string, file: string, facts: MasterFacts = {}): Sequence =>
  sequenceOf(file, [parseScene(text, file, facts)]);

/** As `parseSequence`, for a file of one shot. */
export function parseScene(text: string, file: string, facts: MasterFacts = {}): Scene {
  const { scene, problems } = readScene(text, file, facts);
  if (scene === undefined) throw new InputError(problems);
  return scene;
}

export function readScene(text: string, file: string, facts: MasterFacts = {}): Reading {
  const written = readDocument(text, file);
  const found: Fault[] = [];
  let asksHeading = false;
  const onAsked = () => {
    asksHeading = true;
  };
  const scene = written.value && check(written.value, file, { ...facts, onAsked }, found);
  const master = written.value?.master;
  const problems = counted(byPlace([...written.problems, ...told(found, written, file)]), file);
  return {
    scene: problems.length > 0 ? undefined : scene,
    problems,
    master:
      typeof master === 'string' && master !== ''
        ? { name: master, place: written.place(['master']) }
        : undefined,
    asksHeading,
  };
}

/** Adds to `found` what is wrong with `value`; the scene is whole only when nothing is. */
function check(value: unknown, file: string, master: Master, found: Fault[]): Scene | undefined {
  const report: Report = (path, message) => found.push({ path, message });
  const first = sceneSchema.safeParse(value);
  if (first.success) {
    const scene = resolved(first.data, file, master, true, report);
    return found.length > 0 ? scene : aimScene(scene, report);
  }
  found.push(...faultsOf(first.error.issues, value));
  const mended = mend(value, found);
  if (mended === undefined) return undefined;
  const second = sceneSchema.safeParse(mended.value);
  if (second.success) return resolved(second.data, file, master, mended.framed, report);
  const known = new Set(found.map(({ path }) => pathText(path)));
  const more = faultsOf(second.error.issues, mended.value);
  found.push(...more.filter(({ path }) => !known.has(pathText(path))));
  return undefined;
}

function resolved(
  fields: SceneFields,
  file: string,
  master: Master,
  framed: boolean,
  report: Report,
): Scene {
  const scene = resolveScene(fields, file, report, master);
  if (framed) checkFraming(scene, report);
  return scene;
}

/** More than this many mistakes of one file are only counted. */
const MOST_TOLD = 100;

/** The faults as problems, each once; a field that a slip was meant for does not count as missing. */
function told(faults: readonly Fault[], written: Written, file: string): Problem[] {
  const meant = new Set(
    faults.map((fault) => pathText([...fault.path.slice(0, -1), meantBy(fault)])),
  );
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
