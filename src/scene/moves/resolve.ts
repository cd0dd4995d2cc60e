import { findMove } from '../../moves/index.js';
import type { Target, Values, View, Waypoint } from '../../moves/types.js';
import { DEFAULT_FOV, DEFAULT_PROJECTION } from '../../timeline/sample.js';
import type { DirectionFields } from '../direction.js';
import type { Path } from '../document.js';
import { DEFAULT_EASE, parseEase } from '../ease.js';
import { pathText } from '../faults.js';
import { type AimReader, placeOfLook } from '../marks.js';
import type { Draft, Report } from '../resolve.js';
import { LONGEST, momentSeconds } from '../time.js';
import { shortNumber } from '../words.js';
import { linked, rounded, type Step, waypointsOf } from './chain.js';
import type { MoveFields } from './fields.js';
import { spansOf } from './times.js';

export interface Expanded {
  readonly drafts: readonly Draft[];
  /** Seconds: when the last move ends. */
  readonly end: number;
}

export interface Setting {
  /** Of the scene, in seconds, when it is given. */
  readonly length: number | undefined;
  readonly aims: AimReader;
  /** The scene's own keyframes, ascending; those before the first move say how it begins. */
  readonly keyframes: readonly Draft[];
}

/** The keyframes that the moves come to. What cannot be is reported. */
export function expandMoves(
  list: readonly MoveFields[],
  { length, aims, keyframes }: Setting,
  report: Report,
): Expanded {
  const told = (index: number, field: string | undefined, message: string) =>
    report(['moves', index, ...(field === undefined ? [] : [field])], message);
  const steps = list.map((fields, index) => stepOf(fields, index, { length, aims }, report));
  const first = viewBefore(keyframes, steps[0]!.at ?? 0);
  const links = linked(steps, first, told);
  const spans = spansOf(links, length, told);
  const last = spans.at(-1)!;
  if (last.at + last.seconds > LONGEST) {
    const sum = shortNumber(last.at + last.seconds);
    report(['moves'], `take ${sum} s; a clip lasts at most ${LONGEST / 3600} hour`);
  }
  const drafts = links.flatMap((link, index): Draft[] => {
    const { at: start, seconds } = spans[index]!;
    const waypoints = waypointsOf(link, seconds);
    const end = rounded(start + seconds);
    // Where two moves meet there is one keyframe: the next one's first.
    const meets = spans[index + 1]?.at === end && links[index + 1]!.before !== undefined;
    const own = meets ? waypoints.slice(0, -1) : waypoints;
    return own.map((waypoint) => draftOf(waypoint, start, pathText(['moves', index])));
  });
  return { drafts: sidesSaidOnce(drafts, first), end: rounded(last.at + last.seconds) };
}

/** Without what side fovs are measured along where that is the side already. */
function sidesSaidOnce(drafts: readonly Draft[], first: View | undefined): Draft[] {
  let side = first?.fovSide ?? 'shorter';
  return drafts.map((draft): Draft => {
    const { fovSide, ...rest } = draft;
    if (fovSide === undefined || fovSide === side) return rest;
    side = fovSide;
    return draft;
  });
}

function stepOf(
  { move: name, at, for: seconds, ...params }: MoveFields & Readonly<Record<string, unknown>>,
  index: number,
  { length, aims }: Pick<Setting, 'length' | 'aims'>,
  report: Report,
): Step {
  const path: Path = ['moves', index];
  const move = findMove(name)!;
  const given = Object.entries(params).flatMap(([key, value]) => {
    const { kind } = move.params[key] ?? {};
    if (value === undefined || kind === undefined) return [];
    if (kind === 'target') return [[key, targetOf(value as Written, [...path, key], aims)]];
    if (kind !== 'targets') return [[key, value]];
    const list = value as readonly Written[];
    return [[key, list.map((one, place) => targetOf(one, [...path, key, place], aims))]];
  });
  const isPlaced = Object.values(given).some(([, value]) => looks(value));
  if (params.place !== undefined && !isPlaced) {
    const message =
      'says where in the frame, but nothing here is a mark or a direction, and a yaw has no place';
    report([...path, 'place'], message);
  }
  const moment = at as Parameters<typeof momentSeconds>[0] | undefined;
  if (moment !== undefined && 'share' in moment && length === undefined) {
    report([...path, 'at'], 'is a share of the duration, which is not given; write seconds');
  }
  const start = moment && momentSeconds(moment, length ?? 0);
  return {
    move,
    given: Object.fromEntries(given) as Values,
    ...(start === undefined ? {} : { at: rounded(start) }),
    ...(seconds === undefined ? {} : { seconds: seconds as number }),
  };
}

/** Whether a value, or one of a list, is something that can be put at a place of the frame. */
const looks = (value: unknown): boolean =>
  Array.isArray(value)
    ? value.some(looks)
    : typeof value === 'object' && value !== null && 'look' in value;

type Written = number | string | DirectionFields;

function targetOf(written: Written, path: Path, aims: AimReader): Target {
  if (typeof written === 'number') return { yaw: written };
  const look = aims.lookOf(written, path);
  // Unknown ones have been reported.
  return look === undefined ? { yaw: 0 } : { look };
}

function draftOf(
  { at, projection, ease, ...channels }: Waypoint,
  start: number,
  path: string,
): Draft {
  return {
    ...channels,
    at: rounded(start + at),
    ...(projection === undefined ? {} : { projection: { name: projection, params: {} } }),
    // Always said, so that a smooth path of the scene leaves moves as they are.
    ease: parseEase(ease ?? DEFAULT_EASE)!,
    path,
  };
}

/** How the keyframes before the first move leave the camera; undefined when there are none. */
function viewBefore(keyframes: readonly Draft[], start: number): View | undefined {
  const earlier = keyframes.filter(({ at }) => at < start);
  if (earlier.length === 0) return undefined;
  const last = <T>(pick: (draft: Draft) => T | undefined): T | undefined =>
    earlier.map(pick).findLast((value) => value !== undefined);
  const aiming = earlier.findLast(({ yaw, pitch, look }) => (yaw ?? pitch ?? look) !== undefined);
  return {
    aim: aiming?.look
      ? { look: aiming.look, place: placeOfLook(aiming) }
      : {
          yaw: last(({ yaw, heading, look }) => yaw ?? heading ?? look?.yaw) ?? 0,
          pitch: last(({ pitch, look }) => pitch ?? look?.pitch) ?? 0,
        },
    roll: last(({ roll }) => roll) ?? 0,
    fov: last(({ fov }) => fov) ?? DEFAULT_FOV,
    fovSide: last(({ fovSide }) => fovSide) ?? 'shorter',
    projection: last((draft) => draft.projection)?.name ?? DEFAULT_PROJECTION,
  };
}
