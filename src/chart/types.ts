/** One instant of a clip, as its chart shows it; angles in degrees. */
export interface ChartSample {
  /** Seconds. */
  readonly at: number;
  readonly yaw: number;
  readonly pitch: number;
  readonly roll: number;
  /** Full angle across the frame's shorter side. */
  readonly fov: number;
  /** Degrees per second. */
  readonly turning: number;
  /** Doublings per second, whichever way. */
  readonly zooming: number;
  /** The projection in force, or both while one turns into the other. */
  readonly projection: string;
}

export interface ChartMark {
  /** Seconds. */
  readonly at: number;
  readonly label: string;
}

export interface ChartWarning {
  readonly from: number;
  readonly to: number;
  readonly message: string;
}

/** All that a chart shows. */
export interface Chart {
  readonly title: string;
  /** A line under it: shapes, frames, length. */
  readonly facts: string;
  /** Seconds. */
  readonly duration: number;
  /** One a frame, in order of time, at least one. */
  readonly samples: readonly ChartSample[];
  readonly keyframes: readonly ChartMark[];
  /** Where a new shot begins, the first one's beginning left out. */
  readonly shots: readonly ChartMark[];
  readonly warnings: readonly ChartWarning[];
}
