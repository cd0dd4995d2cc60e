import { axisOf } from '../camera/framing.js';
import { orientationOf } from '../camera/orientation.js';
import type {
  Blend,
  FieldOfView,
  ProjectionChoice,
  ProjectionEnd,
  ViewSample,
} from '../camera/types.js';
import { clamp, degrees, mix } from '../math.js';
import { findProjection } from '../projection/index.js';
import type { Timeline } from '../timeline/sample.js';

/** A view that the user turns; angles in degrees. */
export interface FreeView {
  readonly yaw: number;
  readonly pitch: number;
  readonly roll: number;
  readonly fov: Blend<FieldOfView>;
  readonly projection: Blend<ProjectionEnd>;
  /** The user chose the projection, so it belongs into a keyframe. */
  readonly chosen: boolean;
}

export interface FrameSide {
  readonly width: number;
  readonly height: number;
}

/** The scene's own view at an instant, as one that can be turned. */
export function viewAt(timeline: Timeline, seconds: number): FreeView {
  const { fov, projection } = timeline.at(seconds);
  return { ...timeline.angles(seconds), fov, projection, chosen: false };
}

/** The instant's sample with the user's view in it. */
export function sampleOf(sample: ViewSample, free: FreeView | undefined): ViewSample {
  if (free === undefined) return sample;
  const { yaw, pitch, roll, fov, projection } = free;
  return { ...sample, orientation: orientationOf(yaw, pitch, roll), fov, projection };
}

/** The field of view, in degrees along one side. */
export function fovOf({ from, to, mix: share }: Blend<FieldOfView>): FieldOfView {
  if (from.side !== to.side) return share < 0.5 ? from : to;
  return { degrees: mix(from.degrees, to.degrees, share), side: from.side };
}

/** The projection that a view is nearer to. */
export const projectionOf = ({ from, to, mix: share }: Blend<ProjectionEnd>): ProjectionChoice =>
  share < 0.5 ? from : to;

const still = <T>(value: T): Blend<T> => ({ from: value, to: value, mix: 0 });

const LEAST_FOV = 2;

/** The widest that a projection is shown at; those without a last degree look best well below it. */
export function widest(name: string, { side }: FieldOfView, { width, height }: FrameSide): number {
  const projection = findProjection(name);
  if (projection === undefined) return 360;
  const usual = Object.fromEntries(projection.params.map((param) => [param.name, param.default]));
  const { max, inclusive } = projection.fovLimit(axisOf(side, width, height), usual);
  return inclusive ? degrees(max) : Math.floor(degrees(max) * 0.97);
}

/** The same view with another field of view, within what its projection can show. */
export function zoomedTo(view: FreeView, wanted: number, frame: FrameSide): FreeView {
  const { side } = fovOf(view.fov);
  const choice = projectionOf(view.projection);
  const most = widest(choice.name, { degrees: wanted, side }, frame);
  const fov = still<FieldOfView>({ degrees: clamp(wanted, LEAST_FOV, most), side });
  const { from, to, mix: share } = view.projection;
  const projection = { from: { ...from, fov }, to: { ...to, fov }, mix: share };
  return { ...view, fov, projection };
}

/** As `zoomedTo`, in steps that look alike however wide the view is. */
export const zoomedBy = (view: FreeView, factor: number, frame: FrameSide): FreeView =>
  zoomedTo(view, fovOf(view.fov).degrees * factor, frame);

/** A field of view at which the projection looks natural, if the present one is too wide for it. */
const NATURAL: Readonly<Record<string, number>> = {
  rectilinear: 100,
  panini: 150,
  cylindrical: 150,
};

/** The ends of a morph to another projection. */
export function morphTo(view: FreeView, choice: ProjectionChoice, frame: FrameSide) {
  const now = fovOf(view.fov);
  const most = Math.min(NATURAL[choice.name] ?? 360, widest(choice.name, now, frame));
  const then = { ...now, degrees: Math.min(now.degrees, most) };
  const from: ProjectionEnd = { ...projectionOf(view.projection), fov: still(now) };
  const to: ProjectionEnd = { ...choice, fov: still(then) };
  return (share: number): FreeView => {
    const fov = { degrees: mix(now.degrees, then.degrees, share), side: now.side };
    const done = share >= 1;
    return {
      ...view,
      chosen: true,
      fov: still(done ? then : fov),
      projection: done ? still(to) : { from, to, mix: share },
    };
  };
}

/** Yaw, pitch and roll on the way to a level view; the shorter way round. */
export function levelled(view: FreeView, share: number): FreeView {
  return { ...view, pitch: mix(view.pitch, 0, share), roll: mix(view.roll, 0, share) };
}
