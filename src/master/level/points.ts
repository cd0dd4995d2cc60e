import type { Problem } from '../../errors.js';
import { asinClamped, degrees, radians, TAU } from '../../math.js';
import { rayAt } from '../../projection/sphere.js';
import type { Ray } from '../../projection/types.js';
import { fitGreatCircle } from './greatCircle.js';
import { leanOf } from './turn.js';
import type { HorizonPoint, Lean } from './types.js';

/** Two points nearer than this to each other, or to each other's opposite, tip the circle by their own errors. */
const LEAST_APART = 10;
/** Of two points so far apart. */
const LEAST_SPREAD = Math.sin(radians(LEAST_APART / 2)) ** 2;

interface Size {
  readonly width: number;
  readonly height: number;
}

/** Everything that is wrong with single points. */
export function pointProblems(points: readonly HorizonPoint[], { width, height }: Size): Problem[] {
  return points.flatMap((point, index): Problem[] => {
    const path = `horizon[${index}]`;
    const within = (name: string, value: number, low: number, high: number): Problem[] =>
      value >= low && value <= high
        ? []
        : [{ place: '', path: `${path}.${name}`, message: rangeMessage(low, high, value) }];
    return 'x' in point
      ? [...within('x', point.x, 0, width), ...within('y', point.y, 0, height)]
      : [
          ...within('longitude', point.longitude, -180, 180),
          ...within('latitude', point.latitude, -90, 90),
        ];
  });
}

const rangeMessage = (low: number, high: number, found: number): string =>
  `expected ${low} to ${high}, found ${found}.`;

function rayOf(point: HorizonPoint, { width, height }: Size): Ray {
  return 'x' in point
    ? rayAt((point.x / width - 0.5) * TAU, (0.5 - point.y / height) * Math.PI)
    : rayAt(radians(point.longitude), radians(point.latitude));
}

export interface PointFit {
  readonly lean: Lean;
  readonly points: number;
  /** Degrees that the points lie off the circle. */
  readonly rms: number;
  readonly worst: number;
}

/** How the camera stood, from points on the horizon; a sentence where they do not tell. */
export function leanFromPoints(points: readonly HorizonPoint[], size: Size): PointFit | string {
  const rays = points.map((point) => rayOf(point, size));
  const { normal, spread } = fitGreatCircle(rays);
  if (spread < LEAST_SPREAD) {
    return (
      `expected points at least ${LEAST_APART} degrees apart, best a quarter turn, found all of them close to ` +
      'one direction or its opposite: many horizons go through those.'
    );
  }
  const off = rays.map((ray) => {
    const sine = ray[0] * normal[0] + ray[1] * normal[1] + ray[2] * normal[2];
    return Math.abs(degrees(asinClamped(sine)));
  });
  return {
    lean: leanOf(normal),
    points: points.length,
    rms: Math.sqrt(off.reduce((sum, angle) => sum + angle * angle, 0) / off.length),
    worst: Math.max(...off),
  };
}
