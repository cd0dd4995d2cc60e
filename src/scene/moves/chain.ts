import { moves } from '../../moves/index.js';
import type { Move, Target, Values, View, Waypoint } from '../../moves/types.js';
import { isOf, yawOf } from '../../moves/views.js';
import { listed, shortNumber } from '../words.js';

/** A move as a scene asks for it. */
export interface Step {
  readonly move: Move;
  /** Seconds of the scene. */
  readonly at?: number;
  readonly seconds?: number;
  /** The parameters that are written. */
  readonly given: Partial<Values>;
}

/** A move with everything that it depends on. */
export interface Link extends Step {
  readonly values: Values;
  readonly before: View | undefined;
  /** Seconds that it would take by itself. */
  readonly usual: number;
}

/** Tells what is wrong with a step, in one of its fields if that is given. */
export type ReportStep = (step: number, field: string | undefined, message: string) => void;

/** Each step with what the one before leaves it: it begins as that ended, or that is reported. */
export function linked(
  steps: readonly Step[],
  first: View | undefined,
  report: ReportStep,
): readonly Link[] {
  let before = first;
  return steps.map((step, index): Link => {
    const { move, given } = step;
    if (before !== undefined && !isOf(move.begins, before)) {
      report(index, undefined, unfit(move, steps[index - 1]?.move, before));
      // As if it were the first, so that no more is said of the same.
      before = undefined;
    } else if (before !== undefined) {
      reportBeginnings(step, steps[index - 1]?.move, (field, message) =>
        report(index, field, message),
      );
    }
    const values = valuesOf(move, given, before);
    const usual = move.usual(values, before);
    const link = { ...step, values, before, usual };
    before = endOf(waypointsOf(link, usual));
    return link;
  });
}

/** The move's keyframes when it takes so many seconds, in round numbers that can be written down. */
export function waypointsOf({ move, values, before }: Link, seconds: number): Waypoint[] {
  return move.expand(values, { seconds, before }).map((waypoint) => {
    const { ball, ...channels } = waypoint;
    return { ...roundedAll(channels), ...(ball && { ball: roundedAll(ball) }) };
  });
}

const roundedAll = <T extends object>(fields: T): T =>
  Object.fromEntries(
    Object.entries(fields).map(([name, value]) => [
      name,
      typeof value === 'number' ? rounded(value) : value,
    ]),
  ) as T;

export const rounded = (value: number): number => Math.round(value * 1e4) / 1e4 + 0;

function valuesOf(move: Move, given: Partial<Values>, before: View | undefined): Values {
  const kept = before !== undefined && isKept(move, before);
  const values = Object.entries(move.params).map(([name, param]) => {
    const written = given[name];
    if (written !== undefined) return [name, written];
    const same = kept && param.kept ? keptValue(name, before) : undefined;
    if (same !== undefined) return [name, same];
    if (param.kind === 'target') return [name, { yaw: param.default }];
    if (param.kind === 'targets') return [name, param.default.map((yaw) => ({ yaw }))];
    return [name, param.default];
  });
  return Object.fromEntries(values) as Values;
}

/** Only a view of the kind that the move ends with has something to keep. */
const isKept = ({ ends }: Move, { projection }: View): boolean =>
  ends.projection === undefined || ends.projection === projection;

/** What looks at a mark has another pitch in every shape. */
function keptValue(name: string, { aim, fov }: View): number | Target | undefined {
  if (name === 'to') return { yaw: yawOf(aim) };
  if (name !== 'pitch') return fov;
  return 'pitch' in aim ? aim.pitch : undefined;
}

/** Every channel as the last waypoint that sets it leaves it. */
function endOf(waypoints: readonly Waypoint[]): View {
  const { yaw, pitch, look, place, roll, fov, fovSide, projection } = waypoints.at(-1)!;
  return {
    aim: look && place ? { look, place } : { yaw: yaw!, pitch: pitch! },
    ...{ roll: roll!, fov: fov!, fovSide: fovSide!, projection: projection! },
  };
}

function reportBeginnings(
  { move, given }: Step,
  earlier: Move | undefined,
  report: (field: string, message: string) => void,
): void {
  for (const [name, { begin }] of Object.entries(move.params)) {
    if (!begin || given[name] === undefined) continue;
    const from = earlier ? `${earlier.name}, and begins as that ends` : 'the keyframes before it';
    report(name, `says how the move begins, but it goes on from ${from}; leave it out`);
  }
}

function unfit({ begins }: Move, earlier: Move | undefined, { projection, aim }: View): string {
  const pitch = 'pitch' in aim ? `pitch ${shortNumber(aim.pitch, 1)}` : aim.look.name;
  const found = `${projection}, ${pitch}`;
  const who = earlier ? `${earlier.name} before it ends` : 'the keyframes before it end';
  const fitting = moves.filter(
    ({ ends }) => ends.projection === begins.projection && ends.pitch === begins.pitch,
  );
  const mend =
    fitting.length === 0
      ? 'let it come first'
      : `put ${listed(fitting.map(({ name }) => name))} between them, or let it come first`;
  return `begins with ${begins.words}, but ${who} otherwise (${found}); ${mend}`;
}
