/**
 * A unit vector in camera space: +x right, +y up, -z along the view axis. The master's centre lies at
 * (0, 0, -1) when the camera is unturned.
 */
export type Ray = readonly [x: number, y: number, z: number];

/** A point of the projection plane: +x right, +y up, in the projection's own unit (its radius at R = 1). */
export type PlanePoint = readonly [x: number, y: number];

/** What a direction outside a projection's domain maps to. */
export const OUTSIDE = 'outside';
export type Outside = typeof OUTSIDE;

/**
 * Where a plane point looks. Outside the picture (beyond a ball's rim, say) `inside` is false and
 * `ray` is the nearest direction of the domain's edge, so that morphs stay continuous there.
 */
export interface Landing {
  readonly inside: boolean;
  readonly ray: Ray;
}

/** The frame's direction along which a field of view is measured. */
export type Axis = 'horizontal' | 'vertical' | 'diagonal';

/** Named numbers that some projections take, such as the Panini projection's distance. */
export type ProjectionParams = Readonly<Record<string, number>>;

export interface ParamInfo {
  readonly name: string;
  /** One line for help texts: what it does, its unit. */
  readonly about: string;
  readonly min: number;
  readonly max: number;
  readonly default: number;
}

export interface FovLimit {
  /** Full angle in radians. */
  readonly max: number;
  /** Whether `max` itself may be used. */
  readonly inclusive: boolean;
}

/**
 * One way to lay the sphere flat. Everything in radians and unit vectors; no files, no GL.
 * Its GLSL twin is `shaders/projections/<name>.glsl`, which defines
 * `vec4 <camelCaseName>Ray(vec2 point, vec4 params)`: xyz the ray, w the distance to the picture's edge in
 * plane units, negative outside, ENDLESS (shaders/common/lens.glsl) without one.
 */
export interface Projection {
  /** As the scene file names it, in kebab-case: `mirror-ball`. */
  readonly name: string;
  readonly title: string;
  /** The law in one line of plain text: `r = 2 tan(theta / 2)`. */
  readonly formula: string;
  readonly goodFor: string;
  /** Published source of the formula. */
  readonly source: string;
  /** At most four; the GLSL function gets them in this order in its vec4. */
  readonly params: readonly ParamInfo[];
  /** Whether the plane's radius depends on the angle off the view axis alone, the same way all round. */
  readonly azimuthal: boolean;
  /** The largest full field of view along `axis`. The smallest is always just above 0. */
  fovLimit(axis: Axis, params: ProjectionParams): FovLimit;
  toPlane(ray: Ray, params: ProjectionParams): PlanePoint | Outside;
  toRay(point: PlanePoint, params: ProjectionParams): Landing;
  /**
   * Distance on the plane, along +x (horizontal) or +y (vertical), from the centre to the direction
   * `halfAngle` radians off the view axis; 0 < 2 halfAngle within `fovLimit`.
   */
  extent(axis: 'horizontal' | 'vertical', halfAngle: number, params: ProjectionParams): number;
}
