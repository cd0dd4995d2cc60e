import { nearest, type Place } from '../camera/aim.js';
import type { Aim, Kind, Target, View, Waypoint } from './types.js';

export const RECTILINEAR = 'rectilinear';
export const STEREOGRAPHIC = 'stereographic';
export const MIRROR_BALL = 'mirror-ball';

export const ANY: Kind = { words: 'any view' };
export const LEVEL: Kind = { words: 'a level view', projection: RECTILINEAR };
export const PLANET: Kind = { words: 'a little planet', projection: STEREOGRAPHIC, pitch: -90 };
export const INSIDE_OUT: Kind = {
  words: 'a planet turned inside out',
  projection: STEREOGRAPHIC,
  pitch: 90,
};
export const BALL: Kind = { words: 'a mirror ball', projection: MIRROR_BALL };

export const isOf = ({ projection, pitch }: Kind, view: View): boolean =>
  (projection === undefined || projection === view.projection) &&
  (pitch === undefined || ('pitch' in view.aim && pitch === view.aim.pitch));

/** What a target is for a move's end: a yaw has the pitch that the move says beside it. */
export const aimOf = (target: Target, pitch: number, place: Place): Aim =>
  'yaw' in target ? { yaw: target.yaw, pitch } : { look: target.look, place };

/** The same direction, as few turns as possible from `near` degrees of yaw. */
export const nearestAim = (aim: Aim, near: number): Aim =>
  'yaw' in aim ? { ...aim, yaw: nearest(aim.yaw, 360, near) } : aim;

/** Degrees; for a mark those of the mark itself, wherever in the frame it sits. */
export const yawOf = (aim: Aim | Target): number => ('yaw' in aim ? aim.yaw : aim.look.yaw);
export const pitchOf = (aim: Aim): number => ('yaw' in aim ? aim.pitch : aim.look.pitch);

export const view = (
  aim: Aim,
  fov: number,
  projection = RECTILINEAR,
  { roll = 0, fovSide = 'shorter' }: Partial<Pick<View, 'roll' | 'fovSide'>> = {},
): View => ({ aim, roll, fov, fovSide, projection });

export const planet = (yaw: number, fov: number, pitch = -90): View =>
  view({ yaw, pitch }, fov, STEREOGRAPHIC);

/** Every channel of a view at a time. */
export const waypoint = (at: number, view: View, ease?: string): Waypoint => {
  const { aim, ...rest } = view;
  return { at, ...aim, ...rest, ...(ease === undefined ? {} : { ease }) };
};
