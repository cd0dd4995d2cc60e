import { radians } from '../math.js';

/** The invented valley's plan: where things stand. Metres; the lake's surface is y = 0, -z is ahead. */

export const CAMERA_HEIGHT = 78;
export const SUN = { longitude: 35, latitude: 11 };

export type Vec3 = [number, number, number];
export type Point = readonly [x: number, z: number];

/** The unit direction of a longitude and latitude in degrees. */
export function directionOf(longitude: number, latitude: number): Vec3 {
  const lon = radians(longitude);
  const lat = radians(latitude);
  return [Math.sin(lon) * Math.cos(lat), Math.sin(lat), -Math.cos(lon) * Math.cos(lat)];
}

/** The place on the ground plan at a longitude and a horizontal distance from the camera. */
export function at(longitude: number, distance: number): Point {
  const [x, , z] = directionOf(longitude, 0);
  return [x * distance, z * distance];
}

export const SUN_DIRECTION = directionOf(SUN.longitude, SUN.latitude);

export const ORCHARD = at(122, 58);
export const MILL = at(-25, 74);
export const TERRACES = { centre: at(-104, 190), radius: 120, height: 46, step: 3.4 };
export const JETTY = { start: at(33, 34), end: at(38, 62) };

export interface HousePlan {
  readonly place: Point;
  /** Degrees by which the ridge is turned from the z axis. */
  readonly turn: number;
  readonly width: number;
  readonly length: number;
  readonly wall: number;
  readonly roof: number;
}

const house = (
  longitude: number,
  distance: number,
  turn: number,
  size: readonly [number, number, number],
  roof: number,
): HousePlan => ({
  place: at(longitude, distance),
  turn,
  width: size[0],
  length: size[1],
  wall: size[2],
  roof,
});

export const HOUSES: readonly HousePlan[] = [
  house(154, 54, 20, [8, 12, 5.5], 0),
  house(163, 80, 75, [8, 13, 5], 1),
  house(173, 63, -15, [7, 10, 5], 2),
  house(146, 98, 50, [9, 14, 6], 2),
  house(-164, 74, 35, [8, 11, 5.5], 0),
  house(178, 104, 80, [9, 15, 6], 1),
  house(160, 112, 10, [8, 12, 5.5], 0),
  house(-172, 124, -30, [8, 12, 5], 2),
  house(-152, 96, 70, [7, 11, 5], 1),
  house(-60, 58, 15, [7, 10, 4.6], 0),
  house(112, 96, -20, [7, 10, 4.8], 1),
];
export const CHURCH = at(-176, 88);

/** The paths, as corner points of smooth curves; the third number of each is half its width. */
export const PATHS: readonly { readonly points: readonly Point[]; readonly half: number }[] = [
  {
    half: 1.5,
    points: [
      at(33, 36),
      at(28, 24),
      at(5, 12),
      at(-120, 7),
      at(-170, 24),
      at(172, 44),
      at(168, 70),
      at(168, 100),
      at(174, 150),
      at(165, 240),
      at(176, 330),
    ],
  },
  {
    half: 1.1,
    points: [
      at(5, 12),
      at(-30, 18),
      at(-46, 32),
      at(-52, 50),
      at(-42, 66),
      at(-30, 64),
      at(-25, 70),
    ],
  },
  {
    half: 1.1,
    points: [
      at(-120, 7),
      at(-104, 26),
      at(-86, 48),
      at(-96, 76),
      at(-108, 100),
      at(-98, 128),
      at(-110, 160),
      at(-104, 190),
      at(-116, 250),
    ],
  },
  {
    half: 1.0,
    points: [
      at(-170, 24),
      at(140, 34),
      at(112, 48),
      at(99, 62),
      at(92, 88),
      at(98, 130),
      at(104, 200),
    ],
  },
];
