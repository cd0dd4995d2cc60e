import { acosClamped } from '../../math.js';

/**
 * A smooth colour over the sphere around a hole, which continues the slope of a graded sky into the
 * hole where a membrane alone would level it off. Coordinates are local: along the chart's right,
 * up and centre axes.
 */
export interface Trend {
  /** `sloped` where the surroundings tell a slope, else `level`: one colour. */
  readonly name: 'sloped' | 'level';
  /** How far the best model misses, at the rim, what it was not fitted to; code values. */
  readonly miss: number;
  /** Writes the three code values for local direction (a, b, h) to `out`. */
  at(a: number, b: number, h: number, out: Float64Array): void;
}

/** Points of the hole's surroundings; arrays run in parallel. */
export interface Samples {
  readonly count: number;
  /** Local direction, 3 a point. */
  readonly local: Float64Array;
  /** Code values, 3 a point. */
  readonly rgb: Float64Array;
  readonly weight: Float64Array;
  /** Local direction of the brightest place, where the light comes from. */
  readonly light: readonly [a: number, b: number, h: number];
}

export const MOST = 16;
/** Writes the terms' values at a local direction. */
export type Basis = (a: number, b: number, h: number, out: Float64Array) => void;

export interface Model {
  readonly name: string;
  readonly terms: number;
  readonly basis: Basis;
}

/** Independent polynomials on the sphere up to degree 3: as many as spherical harmonics. */
const polynomials: Basis = (a, b, h, out) => {
  out[0] = 1;
  out[1] = h;
  out[2] = a;
  out[3] = b;
  out[4] = h * h;
  out[5] = a * h;
  out[6] = b * h;
  out[7] = a * a - b * b;
  out[8] = a * b;
  out[9] = h * h * h;
  out[10] = a * h * h;
  out[11] = b * h * h;
  out[12] = (a * a - b * b) * h;
  out[13] = a * b * h;
  out[14] = a * (a * a - 3 * b * b);
  out[15] = b * (3 * a * a - b * b);
};

export function models(light: readonly [number, number, number]): Model[] {
  /** Height and the angle from the light: what a clear sky's brightness chiefly depends on. */
  const sunny: Basis = (a, b, h, out) => {
    const s = a * light[0] + b * light[1] + h * light[2];
    out[0] = 1;
    out[1] = h;
    out[2] = s;
    out[3] = Math.exp(-3 * acosClamped(s));
    out[4] = s * s;
  };
  return [
    { name: 'level', terms: 1, basis: polynomials },
    { name: 'linear', terms: 4, basis: polynomials },
    { name: 'quadratic', terms: 9, basis: polynomials },
    { name: 'sunny', terms: 5, basis: sunny },
    { name: 'cubic', terms: 16, basis: polynomials },
  ];
}
