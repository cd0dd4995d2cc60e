import { describe, expect, it } from 'vitest';
import { fitGreatCircle } from '../../../src/master/level/greatCircle.js';
import { fitCircle } from '../../../src/master/level/horizon/fitCircle.js';
import { leanFromPoints, pointProblems } from '../../../src/master/level/points.js';
import { tiltOf, zenithOf } from '../../../src/master/level/turn.js';
import { degrees, radians } from '../../../src/math.js';
import { rayAt } from '../../../src/projection/sphere.js';
import type { Ray } from '../../../src/projection/types.js';
import { apart, noise, onCircle } from './support.js';

// The references here are constructions: points are put on a known circle, exactly.
const AXIS = zenithOf({ pitch: 12, roll: -17 });

describe('the great circle closest to points', () => {
  it('is exact for exact points, all round or on a short arc', () => {
    for (const arc of [360, 120, 40]) {
      const rays = Array.from({ length: 30 }, (_, i) => onCircle(AXIS, (i * arc) / 30, 0));
      const { normal, off } = fitGreatCircle(rays);
      expect(apart(normal, AXIS)).toBeLessThan(1e-6);
      expect(off).toBeLessThan(1e-15);
    }
  });

  it('is the least squares one: no neighbour lies closer', () => {
    const random = noise(1);
    const rays = Array.from({ length: 50 }, (_, i) => onCircle(AXIS, i * 7.2, 4 * random() - 2));
    const sum = (normal: Ray) =>
      rays.reduce((all, ray) => all + ray.reduce((s, part, c) => s + part * normal[c]!, 0) ** 2, 0);
    const { normal, off } = fitGreatCircle(rays);
    expect(off * 50).toBeCloseTo(sum(normal), 12);
    for (let turn = 0; turn < 360; turn += 45) {
      const beside = onCircle(normal, turn, 90 - 0.2);
      expect(sum(beside)).toBeGreaterThan(sum(normal));
    }
  });

  it('weighs points', () => {
    const rays: Ray[] = [rayAt(0, 0), rayAt(radians(90), 0), rayAt(radians(45), radians(30))];
    expect(fitGreatCircle(rays, [1, 1, 0]).normal[1]).toBeCloseTo(1, 12);
    expect(fitGreatCircle(rays).normal[1]).toBeLessThan(0.99);
  });
});

describe('the circle along a skyline', () => {
  it('is exact, whatever a third of the points do above it', () => {
    const random = noise(2);
    const rays = Array.from({ length: 360 }, (_, i) =>
      onCircle(AXIS, i, i % 3 === 0 ? 2.5 + 3 + 20 * random() : 2.5),
    );
    const { zenith, height, spread } = fitCircle(rays);
    expect(apart(zenith, AXIS)).toBeLessThan(1e-5);
    expect(degrees(height)).toBeCloseTo(2.5, 5);
    expect(degrees(spread)).toBeLessThan(1e-4);
  });

  it('is not tipped by a range of hills that fills a quarter of the way round', () => {
    const rays = Array.from({ length: 360 }, (_, i) =>
      onCircle(AXIS, i, i < 90 ? 8 * Math.sin(radians(2 * i)) : 0),
    );
    expect(apart(fitCircle(rays).zenith, AXIS)).toBeLessThan(0.3);
    expect(apart(fitGreatCircle(rays).normal, AXIS)).toBeGreaterThan(1.5);
  });
});

describe('points on the horizon', () => {
  const size = { width: 4000, height: 2000 };

  it('give the lean exactly from two, in degrees or pixels', () => {
    // A roll of 10 tips the horizon to latitude -10 at 90 degrees left and 10 at 90 degrees right... of the
    // picture it runs counter-clockwise: higher on the right.
    const points = [
      { longitude: 0, latitude: 0 },
      { longitude: 90, latitude: 10 },
    ];
    const fit = leanFromPoints(points, size);
    expect(fit).toMatchObject({ points: 2 });
    if (typeof fit === 'string') throw new Error(fit);
    expect(fit.lean.pitch).toBeCloseTo(0, 9);
    expect(fit.lean.roll).toBeCloseTo(10, 9);
    expect(fit.worst).toBeCloseTo(0, 6);
    const inPixels = leanFromPoints(
      [
        { x: 2000, y: 1000 },
        { x: 3000, y: 1000 - 2000 / 18 },
      ],
      size,
    );
    expect(inPixels).toMatchObject({ lean: { roll: expect.closeTo(10, 9) } });
  });

  it('knows a camera that looked up: the horizon lies low before it and high behind', () => {
    const fit = leanFromPoints(
      [
        { longitude: 0, latitude: -7 },
        { longitude: 180, latitude: 7 },
        { longitude: 90, latitude: 0 },
      ],
      size,
    );
    expect(fit).toMatchObject({
      lean: { pitch: expect.closeTo(7, 6), roll: expect.closeTo(0, 6) },
    });
  });

  it('tells how far points lie off', () => {
    const points = [0, 90, 180, 270].map((turn) => ({
      longitude: turn > 180 ? turn - 360 : turn,
      latitude: turn % 180 === 0 ? 1 : -1,
    }));
    const fit = leanFromPoints(points, size);
    if (typeof fit === 'string') throw new Error(fit);
    expect(tiltOf(fit.lean)).toBeCloseTo(0, 6);
    expect(fit.rms).toBeCloseTo(1, 6);
    expect(fit.worst).toBeCloseTo(1, 6);
  });

  it('cannot tell from points close together, or opposite', () => {
    const sentence =
      'expected points at least 10 degrees apart, best a quarter turn, found all of them close to one ' +
      'direction or its opposite: many horizons go through those.';
    for (const longitude of [3, -178]) {
      const points = [
        { longitude: 0, latitude: 1 },
        { longitude, latitude: longitude === 3 ? 0 : -1 },
      ];
      expect(leanFromPoints(points, size)).toBe(sentence);
    }
    const just = [
      { longitude: 0, latitude: 0 },
      { longitude: 10.1, latitude: 0 },
    ];
    expect(leanFromPoints(just, size)).toMatchObject({ points: 2 });
  });

  it('must lie in the picture', () => {
    const problems = pointProblems(
      [
        { x: 4001, y: -1 },
        { longitude: 200, latitude: Number.NaN },
      ],
      size,
    );
    expect(problems.map(({ path, message }) => `${path}: ${message}`)).toEqual([
      'horizon[0].x: expected 0 to 4000, found 4001.',
      'horizon[0].y: expected 0 to 2000, found -1.',
      'horizon[1].longitude: expected -180 to 180, found 200.',
      'horizon[1].latitude: expected -90 to 90, found NaN.',
    ]);
  });
});
