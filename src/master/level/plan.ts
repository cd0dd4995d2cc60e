import { orientationOf } from '../../camera/orientation.js';
import type { Orientation } from '../../camera/types.js';
import { InputError } from '../../errors.js';
import type { MasterFacts } from './file.js';
import { LEVEL } from './horizon.js';
import { leanFromPoints, pointProblems } from './points.js';
import { findHorizon } from './reduced.js';
import { compose, northward, tiltOf, UNTURNED, upright } from './turn.js';
import type { Lean, LevelOptions, LevelReport } from './types.js';

/** What is to be done, and why. */
export interface Plan {
  readonly status: LevelReport['status'];
  readonly turn: Orientation;
  /** How the camera stood, where that is known. */
  readonly lean?: Lean;
  readonly found?: LevelReport['found'];
  readonly fit?: LevelReport['fit'];
  readonly notes: readonly string[];
}

/** Degrees off the circle from which on points are worth a word. */
const POORLY = 1;

/** Finds how to turn the master. @throws InputError where the points given do not tell. */
export async function planTurn(options: LevelOptions, facts: MasterFacts): Promise<Plan> {
  const { yaw = 0, pitch = 0, roll = 0, north, horizon, auto } = options;
  if (horizon !== undefined) return fromPoints(options, facts);
  if (auto === true) return fromLooks(options);
  if (north !== undefined) return { status: 'turned', turn: northward(north), notes: [] };
  return { status: 'turned', turn: orientationOf(yaw, pitch, roll), notes: [] };
}

const undo = (lean: Lean, north: number | undefined): Orientation =>
  north === undefined ? upright(lean) : compose(upright(lean), northward(north));

function fromPoints({ input, horizon = [], north }: LevelOptions, facts: MasterFacts): Plan {
  const problems = pointProblems(horizon, facts);
  if (problems.length > 0) throw new InputError(problems.map((p) => ({ ...p, place: input })));
  const fitted = leanFromPoints(horizon, facts);
  if (typeof fitted === 'string') {
    throw new InputError([{ place: input, path: 'horizon', message: fitted }]);
  }
  const { lean, ...fit } = fitted;
  const notes =
    fit.worst > POORLY
      ? [
          `The points lie up to ${fit.worst.toFixed(1)} degrees off one great circle: is each of them on the horizon?`,
        ]
      : [];
  return { status: 'turned', turn: undo(lean, north), lean, fit, notes };
}

async function fromLooks({ input, north }: LevelOptions): Promise<Plan> {
  const found = await findHorizon(input);
  if (!found.sure) {
    const notes = [
      'Unsure how the camera stood: give two or more points on the horizon, or pitch and roll.',
    ];
    return { status: 'unsure', turn: UNTURNED, found, notes };
  }
  const lean = { pitch: found.pitch, roll: found.roll };
  if (tiltOf(lean) >= LEVEL[found.method])
    return { status: 'turned', turn: undo(lean, north), lean, found, notes: [] };
  if (north === undefined) return { status: 'level', turn: UNTURNED, lean, found, notes: [] };
  return { status: 'turned', turn: northward(north), lean, found, notes: [] };
}
