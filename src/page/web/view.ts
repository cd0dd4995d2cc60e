import { orientationOf } from '../../camera/orientation.js';
import { clamp, mix, radians, smoothStep } from '../../math.js';
import { seenAt } from '../../projection/distance.js';
import { type Moment, momentView } from '../samples.js';

/** Where the viewer looks, in degrees, and through which general perspective. */
export interface View {
  readonly yaw: number;
  readonly pitch: number;
  readonly roll: number;
  /** Across the frame's shorter side. */
  readonly fov: number;
  /** 0 is rectilinear, 1 stereographic. */
  readonly distance: number;
}

/** As wide as a planet gets. */
export const WIDEST = 300;
export const PLANET_FOV = 262;

/** Ordinary views are rectilinear, planets stereographic. */
const [ORDINARY, PLANET] = [80, 165];

export function distanceFor(fov: number): number {
  return smoothStep((fov - ORDINARY) / (PLANET - ORDINARY));
}

/** The view as a viewer may have it: within the sphere and the zoom's limits. */
export const held = (view: View, narrowest: number): View => ({
  ...view,
  pitch: clamp(view.pitch, -90, 90),
  fov: clamp(view.fov, narrowest, WIDEST),
});

export function momentOf({ yaw, pitch, roll, fov, distance }: View): Moment {
  const half = radians(fov) / 2;
  // Nearer to the picture than this, the frame's edge would have no end.
  const param = clamp(distance, Math.min(1, Math.max(0, 0.06 - Math.cos(half))), 1);
  const lens = { projection: 'perspective', half: seenAt(half, param), param };
  return { turn: orientationOf(yaw, pitch, roll), lenses: [lens], mix: 0 };
}

export function viewOf(moment: Moment): View {
  const { yaw, pitch, roll, fov } = momentView(moment);
  const { projection, param } = moment.lenses[0]!;
  const wide = Math.min(fov, WIDEST);
  const distance = projection === 'perspective' ? param : distanceFor(wide);
  return { yaw, pitch, roll, fov: wide, distance };
}

/** `share` of the way from one view to another, by the shorter way round. */
export function between(from: View, to: View, share: number): View {
  return {
    yaw: from.yaw + share * aroundTo(from.yaw, to.yaw),
    pitch: mix(from.pitch, to.pitch, share),
    roll: from.roll + share * aroundTo(from.roll, to.roll),
    fov: from.fov ** (1 - share) * to.fov ** share,
    distance: mix(from.distance, to.distance, share),
  };
}

const aroundTo = (from: number, to: number): number => {
  const turn = to - from;
  return turn - 360 * Math.round(turn / 360);
};

/** How far apart two views are, in about degrees. */
export const apart = (a: View, b: View): number =>
  Math.max(
    Math.abs(aroundTo(a.yaw, b.yaw)),
    Math.abs(a.pitch - b.pitch),
    Math.abs(aroundTo(a.roll, b.roll)),
    Math.abs(a.fov - b.fov),
    60 * Math.abs(a.distance - b.distance),
  );
