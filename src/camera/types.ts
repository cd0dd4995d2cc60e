import type { ProjectionParams } from '../projection/types.js';
import type { BallKeyframe, BallLook, FovSide } from '../scene/types.js';
import type { Ball } from './ball.js';

/** A unit quaternion x, y, z, w that turns camera-space directions into world directions. */
export type Orientation = readonly [x: number, y: number, z: number, w: number];

/** Between two keyframes' values; `mix` 0 is `from`, 1 is `to`, and easings may overshoot. */
export interface Blend<T> {
  readonly from: T;
  readonly to: T;
  readonly mix: number;
}

export interface FieldOfView {
  /** Full angle. */
  readonly degrees: number;
  readonly side: FovSide;
}

export interface ProjectionChoice {
  /** Of a registered projection. */
  readonly name: string;
  readonly params: ProjectionParams;
}

/** A keyframe's projection, with the field of view at that keyframe's own time. */
export interface ProjectionEnd extends ProjectionChoice {
  readonly fov: Blend<FieldOfView>;
}

/** The ball at one instant. */
export interface BallSample extends Required<BallKeyframe> {
  readonly look: BallLook;
}

/** What a timeline says of one instant, whatever the frame's size. */
export interface ViewSample {
  readonly orientation: Orientation;
  readonly fov: Blend<FieldOfView>;
  readonly projection: Blend<ProjectionEnd>;
  /** When there is one in the scene. */
  readonly ball?: BallSample;
}

/** A projection framed for one frame: which plane rectangle the frame shows. */
export interface Lens {
  /** The name of a registered projection, or of one that only morphs use. */
  readonly projection: string;
  readonly params: ProjectionParams;
  /** Half the frame's width and height in plane units. */
  readonly halfExtent: readonly [x: number, y: number];
}

/** The values at one instant, resolved for one frame size; what the renderer draws. */
export interface Camera {
  /** Turns camera-space rays into world directions: 3x3, column-major, orthonormal. */
  readonly rotation: readonly number[];
  /** One lens, or two whose rays are blended along great circles. */
  readonly lenses: readonly [Lens] | readonly [from: Lens, to: Lens];
  /** The second lens's share, 0 to 1; 0 with one lens. */
  readonly mix: number;
  /** What hovers before the master, if anything does. */
  readonly ball?: Ball;
}
