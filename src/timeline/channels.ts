import type { FrameSize } from '../camera/framing.js';
import type { FieldOfView, ProjectionChoice } from '../camera/types.js';
import { zoomOfView } from '../camera/zoom.js';
import type { FovSide, Keyframe } from '../scene/types.js';
import { lapped, turnedOn } from './laps.js';
import { type Secants, secantsOf, sharesOf } from './smooth.js';
import { between, type Stops, stopsOf, type Track } from './tracks.js';

/** What a timeline depends on beside its keyframes. */
export interface Circumstances {
  readonly frame: FrameSize;
  /** Seconds of a lap, where the last keyframe leads on to the first again. */
  readonly period: number | undefined;
}

export type Period = Circumstances['period'];

export const DEFAULT_FOV = 90;
export const DEFAULT_PROJECTION = 'rectilinear';

/**
 * A channel of numbers, `usual` all through where none is set: of degrees that may run on past full turns,
 * or `steady`, where 360 is not 0 again.
 */
export function numberTrack(
  keyframes: readonly Keyframe[],
  pick: (keyframe: Keyframe) => number | undefined,
  period: Period,
  { usual = 0, steady = false }: { readonly usual?: number; readonly steady?: boolean } = {},
): Track<number> {
  const once = stopsOf(keyframes, pick, usual);
  const onward = steady ? undefined : turnedOn;
  const stops = period === undefined ? once : lapped(once, period, onward);
  const change = (from: number, to: number) => stops[to]!.value - stops[from]!.value;
  return { stops, shares: sharesOf(stops, secantsOf(stops, change)) };
}

export function projectionTrack(
  keyframes: readonly Keyframe[],
  period: Period,
): Track<ProjectionChoice> {
  const once = stopsOf<ProjectionChoice>(keyframes, (keyframe) => keyframe.projection, {
    name: DEFAULT_PROJECTION,
    params: {},
  });
  const stops = period === undefined ? once : lapped(once, period);
  return { stops, shares: sharesOf(stops, projectionSecants(stops)) };
}

/**
 * How fast the projection changes on either side of a stop: a parameter by its own measure, a morph by
 * 1 in all. Only two moves of the same parameter, or two morphs of which the second does not lead back,
 * follow each other without a halt.
 */
function projectionSecants(stops: Stops<ProjectionChoice>): (index: number) => Secants {
  const sizes = secantsOf(stops, (from, to) => {
    const [start, end] = [stops[from]!.value, stops[to]!.value];
    return start.name === end.name ? paramMove(start, end) : 1;
  });
  return (index) => {
    const { left, right } = sizes(index);
    const names = [index - 1, index, index + 1].map((stop) => stops[stop]?.value.name);
    const goesOn = names.includes(undefined) || new Set(names).size !== 2;
    return goesOn ? { left, right } : { left: Math.abs(left), right: -Math.abs(right) };
  };
}

/** Of the first parameter that moves. */
function paramMove(from: ProjectionChoice, to: ProjectionChoice): number {
  const moves = Object.entries(from.params).map(
    ([name, value]) => (to.params[name] ?? value) - value,
  );
  return moves.find((move) => move !== 0) ?? 0;
}

/** Each fov is measured along the side that the last keyframe up to it names. */
export function fovTrack(
  keyframes: readonly Keyframe[],
  projection: Track<ProjectionChoice>,
  { frame, period }: Circumstances,
): Track<FieldOfView> {
  let side: FovSide = keyframes.find((keyframe) => keyframe.fovSide)?.fovSide ?? 'shorter';
  const fallback = { degrees: DEFAULT_FOV, side };
  side = 'shorter';
  const once = stopsOf<FieldOfView>(
    keyframes,
    (keyframe) => {
      side = keyframe.fovSide ?? side;
      return keyframe.fov === undefined ? undefined : { degrees: keyframe.fov, side };
    },
    fallback,
  );
  const stops = period === undefined ? once : lapped(once, period);
  // By the scale of the projection at the stop from which it is seen.
  const change = (from: number, to: number, here: number): number => {
    const { from: before, to: after, mix } = between(projection, stops[here]!.at);
    const choice = (mix < 0.5 ? before : after).value;
    const zoom = (fov: FieldOfView) => zoomOfView(choice, fov, frame);
    return zoom(stops[to]!.value) - zoom(stops[from]!.value);
  };
  return { stops, shares: sharesOf(stops, secantsOf(stops, change)) };
}
