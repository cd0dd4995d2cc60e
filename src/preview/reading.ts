import { basename, dirname, relative, resolve } from 'node:path';
import { checkMasters } from '../check.js';
import { InputError, type Problem, WorkError } from '../errors.js';
import type { Videos } from '../flow/footage.js';
import type { VideoFacts } from '../master/video/types.js';
import { readDocument } from '../scene/document.js';
import { pathOf, valueAt } from '../scene/faults.js';
import { withShapes } from '../scene/retarget.js';
import { safeOf } from '../scene/safe.js';
import { isSphere, shapes } from '../scene/shapes.js';
import type { Output, Scene, Sequence } from '../scene/types.js';
import { shortNumber } from '../scene/words.js';
import { shotTimes } from '../timeline/shots.js';
import type { LineProblem, PageState, Place, ShapeState } from './protocol.js';
import { plainValue, readSceneText } from './sceneText.js';

/** What a scene's text says, for the page. */
export type Reading = Pick<
  PageState,
  'problems' | 'shots' | 'shot' | 'list' | 'written' | 'marks' | 'marksPlace' | 'shapes'
> & {
  readonly scene?: Scene;
  /** What is known of its master, if that is a video. */
  readonly video?: VideoFacts;
  readonly start: number;
};

/** Reads a scene's text; `file` is where it is, or will be. Of several shots, one is for the page. */
export async function readForPage(text: string, file: string, wanted: number): Promise<Reading> {
  const { scene: sequence, problems } = await readSceneText(text, file);
  const found = problems.map((problem) => onLine(problem, file));
  const shots = sequence?.shots ?? [];
  const shot = Math.min(wanted, Math.max(0, shots.length - 1));
  const scene = shots[shot];
  const videos = sequence === undefined ? undefined : await look(sequence, text, found);
  const video = scene && videos?.get(scene.master);
  const list = scene === undefined ? [] : listOf(scene, file);
  const value = plainValue(text);
  const written = valueAt(value, list);
  const own = [...list.slice(0, -1), 'marks'];
  return {
    problems: found,
    shots: shots.length > 1 ? shots.map(shotName) : [],
    shot,
    start: sequence === undefined ? 0 : shotTimes(shots, sequence.transitions)[shot]!.start,
    list,
    written: Array.isArray(written) ? (written as Reading['written']) : [],
    marks: scene?.marks ?? [],
    marksPlace: valueAt(value, own) === undefined ? ['marks'] : own,
    ...(scene === undefined || found.length > 0 ? {} : { scene }),
    ...(video === undefined ? {} : { video }),
    shapes: sequence === undefined || scene === undefined ? [] : shapesOf(sequence, shot),
  };
}

const shotName = ({ master, duration }: Scene, index: number): string =>
  `${index + 1}: ${basename(master)}, ${shortNumber(duration, 2)} s`;

/** Where in the file a shot's keyframes are written; empty for those of another file. */
function listOf({ file, keyframes }: Scene, here: string): Place {
  const path = pathOf(keyframes[0]?.path ?? '');
  return resolve(file) === resolve(here) && path.at(-2) === 'keyframes' ? path.slice(0, -1) : [];
}

/** `file:line:column` as numbers. */
export function onLine({ place, path, message }: Problem, file: string): LineProblem {
  const [, line, column] = /:(\d+):(\d+)$/u.exec(place) ?? [];
  const where = place !== '' && place !== file && line === undefined ? `${place}: ` : '';
  return { line: Number(line ?? 0), column: Number(column ?? 0), path, message: where + message };
}

/** What is known of the masters that are videos; what is wrong with any master is added to `found`. */
async function look(sequence: Sequence, text: string, found: LineProblem[]): Promise<Videos> {
  const { file } = sequence;
  try {
    return await checkMasters(sequence);
  } catch (error) {
    if (!(error instanceof InputError || error instanceof WorkError)) throw error;
    const problems =
      error instanceof InputError ? error.problems : [{ ...NOWHERE, message: error.message }];
    const written = readDocument(text, file);
    for (const { place, path, message } of problems) {
      // A fault of the master's own file stands where the scene names it.
      const field = place === file && path !== '' ? path : 'master';
      const told = field === 'master' ? `${relative(dirname(file), place)}: ${message}` : message;
      const line = written.place(pathOf(field));
      found.push(onLine({ place: line, path: field, message: told.replace(/^: /u, '') }, file));
    }
    return new Map();
  }
}

const NOWHERE = { place: '', path: '' };

const NO_MARGINS = { top: 0, right: 0, bottom: 0, left: 0 };

/** The scene's outputs, then the named shapes that it has not, as one of its shots has them. */
function shapesOf(sequence: Sequence, shot: number): ShapeState[] {
  const scene = sequence.shots[shot]!;
  const own = scene.outputs.map((output) => shapeState(output, scene, true));
  const taken = new Set(own.map(({ name }) => name));
  const others = shapes
    .filter(({ name }) => !taken.has(name))
    .map(({ name, width, height }): ShapeState => {
      try {
        return shapeState(withShapes(sequence, [name]).shots[shot]!.outputs[0]!, scene, false);
      } catch (error) {
        const problem = (error as Error).message.replace(`${scene.file}: `, '');
        const frame = { name, width, height, isOutput: false, safe: NO_MARGINS };
        return { ...frame, background: scene.background, problem };
      }
    });
  return [...own, ...others];
}

function shapeState(output: Output, scene: Scene, isOutput: boolean): ShapeState {
  const { shape: name, width, height, background, keyframes } = output;
  const isSame = !isSphere(name) && JSON.stringify(keyframes) === JSON.stringify(scene.keyframes);
  const safe = safeOf(output);
  return { name, width, height, isOutput, background, safe, ...(isSame ? {} : { keyframes }) };
}
