import { describe, expect, it } from 'vitest';
import {
  apparentSize,
  ballOf,
  ballPaths,
  leastStretch,
  reflectance,
} from '../../src/camera/ball.js';
import { degrees, radians } from '../../src/math.js';
import { mirrorBall } from '../../src/projection/mirror-ball.js';
import type { Ray } from '../../src/projection/types.js';
import { angleBetween, randoms } from '../projection/support.js';
import { ballAt, dot, traceBall } from '../support/ball.js';

/** The ray that passes the centre of a ball straight ahead at `offset` radii, turned by `round` radians. */
function rayAtOffset(distance: number, offset: number, round = 0): Ray {
  const sine = offset / distance;
  const cosine = Math.sqrt(1 - sine * sine);
  return [sine * Math.cos(round), sine * Math.sin(round), -cosine];
}

const OFFSETS = [0.1, 0.3, 0.5, 0.7, 0.9, 0.99];

describe('a glass ball', () => {
  const glass = ballAt('glass', 4);
  const pathAt = (offset: number, path: number) => ballPaths(glass, rayAtOffset(4, offset))[path]!;

  it('lets the ray through its centre pass undeviated', () => {
    const ray: Ray = [0, 0, -1];
    expect(angleBetween(pathAt(0, 1).direction, ray)).toBeLessThan(1e-15);
  });

  // A sphere's minimum-path sums (van de Hulst, "Light Scattering by Small Particles", 1957, ch. 12):
  // sin i = offset / radius, sin i = n sin r; every passing of the surface turns by i - r, every
  // reflection within by pi - 2 r.
  it.each(OFFSETS)('deviates by 2 (i - r) at %d of its radius', (offset) => {
    const [i, r] = [Math.asin(offset), Math.asin(offset / 1.5)];
    const ray = rayAtOffset(4, offset);
    expect(angleBetween(pathAt(offset, 1).direction, ray)).toBeCloseTo(2 * (i - r), 12);
    // Towards the axis: what passes on the right leaves to the left.
    expect(pathAt(offset, 1).direction[0]).toBeLessThan(ray[0]);
  });

  it.each(OFFSETS)('reflects by pi - 2 i at %d, and once within by pi + 2 i - 4 r', (offset) => {
    const [i, r] = [Math.asin(offset), Math.asin(offset / 1.5)];
    const ray = rayAtOffset(4, offset);
    expect(angleBetween(pathAt(offset, 0).direction, ray)).toBeCloseTo(Math.PI - 2 * i, 12);
    const within = Math.PI + 2 * i - 4 * r;
    expect(Math.cos(angleBetween(pathAt(offset, 2).direction, ray))).toBeCloseTo(
      Math.cos(within),
      12,
    );
  });

  it('of water turns the rainbow ray by 138 degrees, at an offset of 0.86', () => {
    // Descartes' ray: sin^2 i = (4 - n^2) / 3; for n = 1.333, i = 59.4 degrees and deviation 138.0
    // (van de Hulst, ch. 13; from memory): the bow is seen 42 degrees from the point opposite the sun.
    const offset = Math.sqrt((4 - 1.333 ** 2) / 3);
    const water = ballAt('glass', 4, { index: 1.333 });
    const turned = (at: number) => {
      const ray = rayAtOffset(4, at);
      return degrees(angleBetween(ballPaths(water, ray)[2]!.direction, ray));
    };
    expect(degrees(Math.asin(offset))).toBeCloseTo(59.4, 1);
    expect(180 - turned(offset)).toBeCloseTo(42.1, 1);
    expect(turned(offset)).toBeLessThan(turned(offset - 0.02));
    expect(turned(offset)).toBeLessThan(turned(offset + 0.02));
  });

  it('reflects 4 percent straight on, and everything at grazing incidence (Schlick 1994)', () => {
    expect(reflectance(1.5, 1, 1)).toBeCloseTo(0.04, 15);
    expect(pathAt(0, 0).share[0]).toBeCloseTo(0.04, 15);
    expect(reflectance(1.5, 0, Math.sqrt(1 - 1 / 2.25))).toBe(1);
    expect(pathAt(1 - 1e-12, 0).share[0]).toBeGreaterThan(0.9999);
    // R0 + (1 - R0) (1 - cos i)^5 at i = 60 degrees: 0.04 + 0.96 / 32.
    expect(pathAt(Math.sin(radians(60)), 0).share[0]).toBeCloseTo(0.07, 12);
  });

  it('loses no light: in a white world it is white', () => {
    for (const index of [0.75, 1, 1.33, 1.5, 2.42]) {
      for (const offset of [0, ...OFFSETS]) {
        const paths = ballPaths(ballAt('glass', 4, { index }), rayAtOffset(4, offset));
        expect(paths.reduce((sum, { share }) => sum + share[1], 0)).toBeCloseTo(1, 14);
      }
    }
  });

  it('of the index 1 is not there', () => {
    const nothing = ballAt('glass', 3, { index: 1 });
    for (const offset of OFFSETS) {
      const ray = rayAtOffset(3, offset);
      expect(angleBetween(ballPaths(nothing, ray)[1]!.direction, ray)).toBeLessThan(1e-12);
    }
  });

  it('of an index below 1 reflects all beyond the critical angle, and nearly all just before', () => {
    const bubble = ballAt('glass', 4, { index: 0.75 });
    const shares = (offset: number) =>
      ballPaths(bubble, rayAtOffset(4, offset)).map(({ share }) => share[0]);
    expect(shares(0.7501)[0]).toBe(1);
    expect(shares(0.9)).toEqual([1]);
    expect(shares(0.75 - 1e-9)[0]).toBeGreaterThan(0.999);
    expect(shares(0.5)[0]).toBeLessThan(0.1);
    for (const offset of OFFSETS) {
      for (const { direction } of ballPaths(bubble, rayAtOffset(4, offset))) {
        expect(Math.hypot(...direction)).toBeCloseTo(1, 12);
      }
    }
  });

  it('tints what it lets through, not what it reflects', () => {
    const [outside, through] = ballPaths(
      ballAt('glass', 4, { tint: [255, 0, 0, 255] }),
      rayAtOffset(4, 0.2),
    );
    expect(outside!.share[1]).toBeGreaterThan(0.03);
    expect(through!.share[0]).toBeGreaterThan(0.9);
    expect(through!.share[1]).toBe(0);
  });
});

describe('a mirror ball', () => {
  it('seen from infinity is the mirror-ball projection, looking back and left-right mirrored', () => {
    const next = randoms(7);
    for (const distance of [1e3, 1e5]) {
      let worst = 0;
      for (let i = 0; i < 200; i++) {
        const [offset, round] = [Math.sqrt(next()) * 0.999, 2 * Math.PI * next()];
        const [path] = ballPaths(ballAt('mirror', distance), rayAtOffset(distance, offset, round));
        const point = [offset * Math.cos(round), offset * Math.sin(round)] as const;
        const [x, y, z] = mirrorBall.toRay(point, {}).ray;
        worst = Math.max(worst, angleBetween(path!.direction, [x, y, -z]));
      }
      // The rays of the one run apart by offset / distance, those of the other are parallel.
      expect(worst).toBeLessThan(1.01 / distance);
      expect(worst).toBeGreaterThan(0.5 / distance);
    }
  });

  it('reflects in its tint straight on, all colours alike at the rim, as metals do', () => {
    const gold = ballAt('mirror', 4, { tint: [255, 217, 140, 255] });
    const share = (offset: number) => ballPaths(gold, rayAtOffset(4, offset))[0]!.share;
    expect(share(0)[0]).toBe(1);
    // sRGB 140 is 0.2623 linear (IEC 61966-2-1).
    expect(share(0)[2]).toBeCloseTo(0.2623, 4);
    expect(share(1 - 1e-9)[2]).toBeGreaterThan(0.999);
  });
});

describe('rays', () => {
  it.each([
    ['mirror', 1.5, 1.2],
    ['mirror', 1.5, 30],
    ['glass', 1.5, 1.05],
    ['glass', 1.5, 4],
    ['glass', 1.33, 100],
    ['glass', 2.42, 3],
    ['glass', 0.75, 3],
  ] as const)(
    'of %s (index %d, at %d radii) are those of a tracer of surfaces',
    (kind, index, distance) => {
      const ball = ballAt(kind, distance, { yaw: 130, pitch: -40, index });
      const next = randoms(31);
      let hits = 0;
      for (let i = 0; i < 3000; i++) {
        const ray = near(ball.direction, (1.3 / distance) * next(), next);
        const traced = traceBall(ball, ray);
        const found = ballPaths(ball, ray).filter(({ share }) => share[0] > 1e-9);
        expect(found.length).toBe(traced?.filter(({ share }) => share[0]! > 1e-9).length ?? 0);
        for (const [path, { direction, share }] of found.entries()) {
          hits++;
          expect(angleBetween(direction, traced![path]!.direction)).toBeLessThan(1e-7);
          expect(share[0]).toBeCloseTo(traced![path]!.share[0]!, 9);
        }
      }
      expect(hits).toBeGreaterThan(1000);
    },
  );

  it('stretch as finite differences say', () => {
    const step = 1e-6;
    for (const [kind, index, distance] of [
      ['mirror', 1.5, 2],
      ['glass', 1.5, 4],
      ['glass', 1.5, 1.3],
      ['glass', 0.75, 3],
    ] as const) {
      const ball = ballAt(kind, distance, { index });
      for (const offset of [0.01, 0.2, 0.5, 0.7, 0.9]) {
        const paths = (at: number, round = 0) => ballPaths(ball, rayAtOffset(distance, at, round));
        const [here, out, round] = [paths(offset), paths(offset + step), paths(offset, step)];
        const view = rayAtOffset(distance, offset);
        for (const [path, { direction, stretch, share }] of here.entries()) {
          if (share[0] === 0) continue;
          const faster = (there: Ray, from: Ray) =>
            angleBetween(there, direction) / angleBetween(from, view);
          const radial = faster(out[path]!.direction, rayAtOffset(distance, offset + step));
          const tangential = faster(round[path]!.direction, rayAtOffset(distance, offset, step));
          expect(stretch[0] / radial).toBeCloseTo(1, 3);
          expect(stretch[1] / tangential).toBeCloseTo(1, 3);
        }
      }
    }
  });

  it('turn no slower than leastStretch says', () => {
    for (const distance of [1.05, 1.3, 1.5, 2, 2.5, 4, 20]) {
      for (const [kind, index] of [
        ['mirror', 1.5],
        ['glass', 1.5],
        ['glass', 1.1],
        ['glass', 2.4],
        ['glass', 0.75],
      ] as const) {
        const ball = ballAt(kind, distance, { index });
        for (let offset = 0; offset < 1; offset += 0.01) {
          const paths = ballPaths(ball, rayAtOffset(distance, offset)).slice(0, 2);
          for (const { stretch, share } of paths) {
            if (share[0] === 0) continue;
            expect(Math.min(...stretch)).toBeGreaterThanOrEqual(leastStretch(ball) - 1e-9);
          }
        }
      }
    }
  });
});

describe('size and distance', () => {
  const look = ballAt('mirror', 2).look;

  it('a ball takes up its size from the distance 1, and less from farther', () => {
    expect(apparentSize(30, 1)).toBeCloseTo(30, 12);
    // sin(15 degrees) / 2 = sin(7.4357 degrees)
    expect(apparentSize(30, 2)).toBeCloseTo(14.871, 3);
    expect(apparentSize(30, Math.sin(radians(15)))).toBeUndefined();
    const ball = ballOf({ look, yaw: 90, pitch: 0, size: 60, distance: 1 })!;
    expect(ball.distance).toBeCloseTo(2, 12);
    expect(ball.direction[0]).toBeCloseTo(1, 12);
  });

  it('one of no size is not there, and no easing brings the camera into one', () => {
    const place = { look, yaw: 0, pitch: 0 };
    expect(ballOf({ ...place, size: 0, distance: 1 })).toBeUndefined();
    expect(ballOf({ ...place, size: -3, distance: 1 })).toBeUndefined();
    expect(ballOf({ ...place, size: 190, distance: -1 })!.distance).toBeGreaterThan(1);
  });
});

/** A unit ray at about `angle` radians from `axis`. */
function near(axis: Ray, angle: number, next: () => number): Ray {
  const any: Ray = [next() - 0.5, next() - 0.5, next() - 0.5];
  const along = dot(any, axis);
  const side = any.map((part, i) => part - along * axis[i]!) as unknown as Ray;
  const scale = Math.sin(angle) / Math.hypot(...side);
  return axis.map((part, i) => part * Math.cos(angle) + side[i]! * scale) as unknown as Ray;
}
