import type { Place } from '../camera/aim.js';
import type { BallKeyframe, FovSide, Mark } from '../scene/types.js';

/** Where a parameter says to look: a yaw in degrees, or a mark or other direction. */
export type Target = { readonly yaw: number } | { readonly look: Mark };

/** Where a view looks. */
export type Aim =
  | { readonly yaw: number; readonly pitch: number }
  | { readonly look: Mark; readonly place: Place };

/** All channels of the camera at one time. */
export interface View {
  readonly aim: Aim;
  /** Degrees. */
  readonly roll: number;
  readonly fov: number;
  readonly fovSide: FovSide;
  /** Of a registered projection, its parameters the usual ones. */
  readonly projection: string;
}

/** A keyframe of a move. Its first and its last set every channel. */
export interface Waypoint {
  /** Seconds from the move's start. */
  readonly at: number;
  readonly yaw?: number;
  readonly pitch?: number;
  readonly look?: Mark;
  readonly place?: Place;
  readonly roll?: number;
  readonly fov?: number;
  readonly fovSide?: FovSide;
  readonly projection?: string;
  /** Of the scene's ball, which is glass unless the scene says otherwise; hidden (size 0) at both ends. */
  readonly ball?: BallKeyframe;
  /** As in a scene file; what it says there by default when left out. */
  readonly ease?: string;
}

interface Common {
  /** One clause for lists and the scene's schema. */
  readonly about: string;
  /** It says how the move begins, so it has no place where a move goes on from another. */
  readonly begin?: true;
  /** Where a move goes on from another, what it does not say stays as it is there. */
  readonly kept?: true;
}

export interface NumberParam extends Common {
  readonly kind: 'number';
  readonly unit: string;
  readonly min: number;
  readonly max: number;
  readonly default: number;
}

export interface ChoiceParam extends Common {
  readonly kind: 'choice';
  readonly options: readonly string[];
  readonly default: string;
}

/** Takes a yaw, a mark's name, or a direction. */
export interface TargetParam extends Common {
  readonly kind: 'target';
  /** A yaw. */
  readonly default: number;
}

export interface TargetsParam extends Common {
  readonly kind: 'targets';
  readonly least: number;
  readonly most: number;
  /** Yaws. */
  readonly default: readonly number[];
}

/** Where in the frame the mark that is looked at sits at the end. */
export interface PlaceParam extends Common {
  readonly kind: 'place';
  readonly default: Place;
}

export type Param = NumberParam | ChoiceParam | TargetParam | TargetsParam | PlaceParam;
export type Params = Readonly<Record<string, Param>>;

export type ValueOf<P extends Param> = P extends NumberParam
  ? number
  : P extends ChoiceParam
    ? P['options'][number]
    : P extends TargetParam
      ? Target
      : P extends TargetsParam
        ? readonly Target[]
        : Place;

export type ValuesOf<P extends Params> = { readonly [K in keyof P]: ValueOf<P[K]> };

/** What a view has to be like for a move to begin with it, or is like when one has ended. */
export interface Kind {
  /** As a sentence goes on after "with": `a little planet`. */
  readonly words: string;
  readonly projection?: string;
  readonly pitch?: number;
}

export interface Course {
  /** How long the move takes. */
  readonly seconds: number;
  /** How the move before it ended, when there is one. */
  readonly before: View | undefined;
}

/** A camera move as the registry holds it. */
export interface Move {
  readonly name: string;
  /** What happens, in one line. */
  readonly title: string;
  readonly goodFor: string;
  readonly params: Params;
  /** How it begins; where a move goes on from another, that one must have ended so. */
  readonly begins: Kind;
  readonly ends: Kind;
  /** Seconds that it takes unless the scene says otherwise; `before` is how the move before it ended. */
  usual(values: Values, before?: View): number;
  /** Ascending in time: the first at 0, the last at the end, both with every channel. */
  expand(values: Values, course: Course): readonly Waypoint[];
}

/** Values by the parameters' names, none missing. */
export type Values = Readonly<Record<string, ValueOf<Param>>>;

/** What a file of a move says; the registry takes it as a `Move`. */
export interface MoveSpec<P extends Params> extends Omit<Move, 'params' | 'usual' | 'expand'> {
  readonly params: P;
  usual(values: ValuesOf<P>, before?: View): number;
  expand(values: ValuesOf<P>, course: Course): readonly Waypoint[];
}

/** Checks a move's types; the values that it gets are those of its own parameters. */
export const move = <const P extends Params>(spec: MoveSpec<P>): Move => spec as unknown as Move;
