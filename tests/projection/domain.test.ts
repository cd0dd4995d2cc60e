import { describe, expect, it } from 'vitest';
import { degrees, radians } from '../../src/math.js';
import { findLens, projectionNames } from '../../src/projection/index.js';
import { OUTSIDE, type PlanePoint, type Ray } from '../../src/projection/types.js';
import { angleBetween, paramSets, places, randoms, rayTo } from './support.js';

const cases = [...projectionNames, 'perspective'].flatMap((name) =>
  paramSets(name).map((params) => ({ name, params })),
);

describe.each(cases)('$name $params', ({ name, params }) => {
  const projection = findLens(name);

  it('comes back to 1e-9 rad from the plane, on 2,000 random directions', () => {
    let inside = 0;
    for (const place of places(2000, 11)) {
      const ray = rayTo(place);
      const point = projection.toPlane(ray, params);
      if (point === OUTSIDE) continue;
      inside++;
      const back = projection.toRay(point, params);
      expect(back.inside).toBe(true);
      expect(angleBetween(back.ray, ray)).toBeLessThan(1e-9);
    }
    expect(inside).toBeGreaterThan(900);
  });

  it('comes back to the same point of the plane', () => {
    const next = randoms(5);
    for (let i = 0; i < 2000; i++) {
      const point: PlanePoint = [next() * 8 - 4, next() * 8 - 4];
      const { inside, ray } = projection.toRay(point, params);
      expect(Math.hypot(...ray)).toBeCloseTo(1, 12);
      if (!inside) continue;
      const back = projection.toPlane(ray, params);
      expect(back).not.toBe(OUTSIDE);
      expect(distance(back as PlanePoint, point)).toBeLessThan(1e-8);
    }
  });

  it('keeps up up, right right and the view axis in the centre', () => {
    expect(projection.toPlane([0, 0, -1], params)).toEqual([0, 0]);
    expect(projection.toRay([0, 0], params)).toMatchObject({ inside: true });
    expect(angleBetween(projection.toRay([0, 0], params).ray, [0, 0, -1])).toBe(0);
    expect(projection.toRay([0.1, 0], params).ray[0]).toBeGreaterThan(0);
    expect(projection.toRay([0, 0.1], params).ray[1]).toBeGreaterThan(0);
  });

  it.each(['horizontal', 'vertical'] as const)('has %s extents that agree with toRay', (axis) => {
    const { max } = projection.fovLimit(axis, params);
    for (const part of [1e-6, 0.1, 0.5, 0.9, 0.999]) {
      const half = (max / 2) * part;
      const extent = projection.extent(axis, half, params);
      const point: PlanePoint = axis === 'horizontal' ? [extent, 0] : [0, extent];
      const { inside, ray } = projection.toRay(point, params);
      expect(inside).toBe(true);
      expect(angleBetween(ray, [0, 0, -1])).toBeCloseTo(half, 9);
    }
  });

  it('reaches an inclusive limit and is finite next to an exclusive one', () => {
    for (const axis of ['horizontal', 'vertical'] as const) {
      const { max, inclusive } = projection.fovLimit(axis, params);
      const extent = projection.extent(axis, inclusive ? max / 2 : max / 2 - 1e-9, params);
      expect(extent).toBeGreaterThan(0);
      expect(Number.isFinite(extent)).toBe(true);
      if (!inclusive) continue;
      const edge = (x: number): PlanePoint => (axis === 'horizontal' ? [x, 0] : [0, x]);
      expect(projection.toRay(edge(extent), params).inside).toBe(true);
      const beyond = projection.toRay(edge(extent * 1.5), params);
      expect(beyond.inside).toBe(false);
      expect(angleBetween(beyond.ray, projection.toRay(edge(extent), params).ray)).toBeLessThan(
        1e-7,
      );
    }
  });

  it('never gives NaN or infinity, whatever it is handed', () => {
    const odd = [0, -0, 1, -1, 0.5, 1e-300, -5e-324, 1e18, -1e300, Number.MAX_VALUE];
    const values = [
      ...odd,
      Math.PI,
      Number.POSITIVE_INFINITY,
      Number.NEGATIVE_INFINITY,
      Number.NaN,
    ];
    for (const x of values) {
      for (const y of values) {
        const { ray } = projection.toRay([x, y], params);
        expect(Math.abs(Math.hypot(...ray) - 1)).toBeLessThan(1e-12);
        for (const z of values) {
          const point = projection.toPlane([x, y, z], params);
          expect(point === OUTSIDE || point.every(Number.isFinite)).toBe(true);
        }
      }
    }
    expect(projection.toPlane([Number.NaN, 0, -1], params)).toBe(OUTSIDE);
    expect(projection.toPlane([0, 0, 0], params)).toBe(OUTSIDE);
    expect(projection.toRay([Number.NaN, 0], params).inside).toBe(false);
  });
});

const distance = (a: PlanePoint, b: PlanePoint) => Math.hypot(a[0] - b[0], a[1] - b[1]);

describe('outside the domain', () => {
  const outside: [string, Ray, Record<string, number>][] = [
    ['rectilinear', [0, 0, 1], {}],
    ['rectilinear', [1, 0, 0], {}],
    ['rectilinear', rayTo([90.001, 20]), {}],
    ['stereographic', [0, 0, 1], {}],
    ['mirror-ball', [0, 0, 1], {}],
    ['orthographic', rayTo([90.001, 0]), {}],
    ['cylindrical', [0, 1, 0], {}],
    ['cylindrical', [0, -1, 0], {}],
    ['panini', [0, 1, 0], {}],
    ['panini', [0, 0, 1], {}],
    ['panini', rayTo([120.001, 0]), { distance: 0.5 }],
    ['panini', rayTo([90.001, 0]), { distance: 0 }],
    ['perspective', rayTo([120.001, 0]), { distance: 0.5 }],
  ];
  it.each(outside)('%s names %o', (name, ray, params) => {
    expect(findLens(name).toPlane(ray, params)).toBe(OUTSIDE);
  });

  it('lies nothing of an equirectangular', () => {
    for (const ray of [
      [0, 1, 0],
      [0, 0, 1],
      [0, -1, 0],
    ] as const) {
      expect(findLens('equirectangular').toPlane(ray, {})).not.toBe(OUTSIDE);
    }
  });

  const beyond: [string, PlanePoint, Ray][] = [
    ['mirror-ball', [3, 4], [0, 0, 1]],
    ['orthographic', [3, 4], [0.6, 0.8, 0]],
    ['equidistant', [0, -4], [0, 0, 1]],
    ['equal-area', [-2.5, 0], [0, 0, 1]],
    ['cylindrical', [4, 0.75], [0, 0.6, 0.8]],
    ['cylindrical', [-4, 0], [0, 0, 1]],
    ['equirectangular', [0, 2], [0, 1, 0]],
    ['equirectangular', [3.5, 0], [0, 0, 1]],
    ['equirectangular', [Math.PI / 2, -2], [0, -1, 0]],
  ];
  it.each(beyond)("%s continues at %o with its edge's direction", (name, point, ray) => {
    const landing = findLens(name).toRay(point, {});
    expect(landing.inside).toBe(false);
    expect(angleBetween(landing.ray, ray)).toBeLessThan(1e-12);
  });
});

describe('fov limits, in degrees', () => {
  const limits: [string, Record<string, number>, number, number, number, string][] = [
    ['rectilinear', {}, 180, 180, 180, '---'],
    ['stereographic', {}, 360, 360, 360, '---'],
    ['mirror-ball', {}, 360, 360, 360, '+++'],
    ['equidistant', {}, 360, 360, 360, '+++'],
    ['equal-area', {}, 360, 360, 360, '+++'],
    ['orthographic', {}, 180, 180, 180, '+++'],
    ['cylindrical', {}, 360, 180, 180, '+--'],
    ['panini', {}, 360, 180, 180, '---'],
    ['panini', { distance: 0.5 }, 240, 180, 180, '---'],
    ['panini', { distance: 0 }, 180, 180, 180, '---'],
    ['equirectangular', {}, 360, 180, 180, '++-'],
  ];
  it.each(limits)('%s %o: %d, %d, %d %s', (name, params, horizontal, vertical, diagonal, ends) => {
    const found = (['horizontal', 'vertical', 'diagonal'] as const).map((axis) =>
      findLens(name).fovLimit(axis, params),
    );
    expect(found.map(({ inclusive }) => (inclusive ? '+' : '-')).join('')).toBe(ends);
    [horizontal, vertical, diagonal].forEach((limit, index) => {
      expect(degrees(found[index]!.max)).toBeCloseTo(limit, 9);
      expect(found[index]!.max).toBeCloseTo(radians(limit), 12);
    });
  });
});
