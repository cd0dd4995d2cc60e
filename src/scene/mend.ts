import { type Fault, isGroup, valueAt } from './faults.js';

/** A stand-in, so that the other fields are checked even when the master is not given. */
const SOME_MASTER = 'master';
const SOME_MOVES = ['hold'];

/** What the place of everything else in time depends on. */
const TIMES = ['at', 'for', 'duration', 'timing', 'shows', 'sceneLength'];
/** Likewise, so that keyframes may place it. */
const SOME_BALL = 'glass';

/** What no framing can be checked without. */
const FRAMING = ['projection', 'fov', 'fovSide', 'ease', 'size', 'distance', 'ball'];

type Group = Record<string | number, unknown>;

export interface Mended {
  readonly value: unknown;
  /** False when something that the field of view or the ball's size depends on had to be left out. */
  readonly framed: boolean;
}

/**
 * The scene as it would be without its faults, so that further checks can go on and all mistakes are
 * told at once: slips become what they were taken for, other faulty fields are left out. Undefined
 * when that cannot be done.
 */
export function mend(root: unknown, faults: readonly Fault[]): Mended | undefined {
  const value = structuredClone(root);
  let framed = true;
  for (const fault of faults) {
    const name = fault.path.at(-1);
    const home = valueAt(value, fault.path.slice(0, -1)) as Group | undefined;
    if (name === undefined || home === undefined) return undefined;
    const meant = meantBy(fault);
    if (fault.key !== undefined) {
      if (meant !== '' && !(meant in home)) home[meant] = home[name];
      delete home[name];
    } else if (meant !== '') home[name] = meant;
    else if (name === 'look' || fault.path.at(-2) === 'marks') home[name] = { yaw: 0 };
    else if (fault.path.includes('marks') || fault.path.includes('look')) home[name] = 0;
    else if (name === 'master') home[name] = SOME_MASTER;
    else if (name === 'ball' && fault.path.at(-3) !== 'keyframes') home[name] = SOME_BALL;
    else if (name === 'moves') home[name] = SOME_MOVES;
    else if (name === 'shape') home[name] = someShape(Number(fault.path.at(-2)));
    else if (fault.path.at(-2) === 'outputs') home[name] = someShape(Number(name));
    else if (TIMES.includes(String(name)) || !isGroup(home)) return undefined;
    else {
      delete home[name];
      framed &&= !FRAMING.includes(String(name));
    }
  }
  return { value, framed };
}

/** What a fault's word was taken for, or an empty text. */
export const meantBy = ({ message }: Fault): string =>
  /Did you mean '(.*)'\?$/u.exec(message)?.[1] ?? '';

/** No two alike, so that stand-ins are not taken for twins. */
const someShape = (index: number): string => `${100 + 2 * index}x${100 + 2 * index}`;
