import { describe, expect, it } from 'vitest';
import { radians } from '../../src/math.js';
import { findLens } from '../../src/projection/index.js';
import { OUTSIDE, type PlanePoint } from '../../src/projection/types.js';
import panini from './cases/panini.json' with { type: 'json' };
import proj from './cases/proj.json' with { type: 'json' };
import radii from './cases/radii.json' with { type: 'json' };
import snyder from './cases/snyder.json' with { type: 'json' };
import { rayFrom, rayTo } from './support.js';

type Pair = [number, number];

interface GlobeCase {
  projection: string;
  centre: number[];
  radius: number;
  lonLat: number[];
}

const place = ({ projection, centre, lonLat, radius }: GlobeCase): PlanePoint | undefined => {
  const point = findLens(projection).toPlane(rayFrom(centre as Pair, lonLat as Pair), {});
  return point === OUTSIDE ? undefined : [point[0] * radius, point[1] * radius];
};

function expectNear(found: PlanePoint | undefined, expected: number[], tolerance: number) {
  expect(found).toBeDefined();
  for (const side of [0, 1] as const) {
    expect(Math.abs(found![side] - expected[side]!)).toBeLessThanOrEqual(tolerance);
  }
}

describe(snyder.source, () => {
  it.each(snyder.cases)('$projection at $lonLat', (example) => {
    expectNear(place(example), example.xy, snyder.tolerance);
    expectNear(place(example), example.reference, 1e-9);
  });
});

describe(proj.source, () => {
  it.each(proj.cases)('$projection round $centre at $lonLat', (vector) => {
    if (vector.xy === null) expect(isOutsideOrFar(vector)).toBe(true);
    else expectNear(place(vector), vector.xy, proj.tolerance);
  });
});

/**
 * PROJ refuses what is within 1e-10 of a limit. The case's angles are right angles or half turns, which
 * radians only approximate, so a point farther out than any frame counts as refused too; and of the
 * direction straight behind, that it lies on the rim, where no point stands for it alone.
 */
function isOutsideOrFar(vector: GlobeCase): boolean {
  const point = place(vector);
  if (point === undefined) return true;
  const distance = Math.hypot(...point) / vector.radius;
  return distance > 1e15 || (vector.projection === 'equidistant' && distance === Math.PI);
}

describe(radii.source, () => {
  it.each(Object.entries(radii.radii))('%s', (name, expected) => {
    radii.degrees.forEach((angle, index) => {
      const radius = expected[index]!;
      const point = findLens(name).toPlane(rayTo([angle, 0]), {});
      if (radius === null) expect(point === OUTSIDE || point[0] > 1e15).toBe(true);
      else expectNear(point as PlanePoint, [radius, 0], radii.tolerance);
    });
  });

  it('puts straight behind on the rim of what shows the whole sphere', () => {
    const behind = (name: string, radius: number) => findLens(name).toRay([0, radius], {});
    for (const [name, rim] of [
      ['mirror-ball', 1],
      ['equal-area', 2],
      ['equidistant', Math.PI],
    ] as const) {
      expect(behind(name, rim).inside).toBe(true);
      expect(behind(name, rim).ray[2]).toBeCloseTo(1, 15);
      expect(behind(name, rim * 1.000001)).toMatchObject({ inside: false });
      expect(behind(name, 5 * rim).ray[2]).toBeCloseTo(1, 15);
      expect(findLens(name).toPlane([0, 0, 1], {})).toBe(OUTSIDE);
    }
  });
});

describe('mirror ball', () => {
  // Law of reflection on a sphere seen from infinity: the ray that meets the ball at (x, y) leaves
  // along v - 2 (v · n) n. A real ball's picture is left-right mirrored against looking outward.
  it.each([
    [0.1, 0.2],
    [-0.5, 0.3],
    [0.7, -0.7],
    [0.05, 0.98],
  ])('reflects at (%f, %f)', (x, y) => {
    const normal = [x, y, Math.sqrt(1 - x * x - y * y)] as const;
    const towards = [0, 0, -1];
    const dot = normal[2] * towards[2]!;
    const reflected = towards.map((part, axis) => part - 2 * dot * normal[axis]!);
    // Seen outward from the ball, forward is toward the camera (+z here) and right is -x.
    const { ray } = findLens('mirror-ball').toRay([-x, y], {});
    expect(ray[0]).toBeCloseTo(-reflected[0]!, 12);
    expect(ray[1]).toBeCloseTo(reflected[1]!, 12);
    expect(ray[2]).toBeCloseTo(-reflected[2]!, 12);
  });

  it('is half of Lambert equal-area', () => {
    const ball = findLens('mirror-ball').toPlane(rayTo([130, -20]), {}) as PlanePoint;
    const area = findLens('equal-area').toPlane(rayTo([130, -20]), {}) as PlanePoint;
    expectNear(ball, [area[0] / 2, area[1] / 2], 1e-15);
  });
});

describe(panini.source, () => {
  it.each(panini.cases)('d = $distance at $lonLat', ({ distance, lonLat, xy }) => {
    const point = findLens('panini').toPlane(rayTo(lonLat as Pair), { distance });
    expectNear(point as PlanePoint, xy, panini.tolerance);
  });

  it('is rectilinear at d = 0, and d = 1 when left out', () => {
    const ray = rayTo([40, -25]);
    const flat = findLens('rectilinear').toPlane(ray, {}) as PlanePoint;
    expectNear(findLens('panini').toPlane(ray, { distance: 0 }) as PlanePoint, [...flat], 1e-15);
    expect(findLens('panini').toPlane(ray, {})).toEqual(
      findLens('panini').toPlane(ray, { distance: 1 }),
    );
  });
});

describe('cylindrical and equirectangular', () => {
  // By definition: x = lon, y = tan(lat) (Snyder and Voxland, USGS PP 1453) and x = lon, y = lat.
  it.each([
    [0, 0],
    [90, 45],
    [-135, -60],
    [179.5, 80],
  ])('puts longitude %f, latitude %f', (lon, lat) => {
    const x = radians(lon);
    expectNear(
      findLens('cylindrical').toPlane(rayTo([lon, lat]), {}) as PlanePoint,
      [x, Math.tan(radians(lat))],
      1e-12,
    );
    expectNear(
      findLens('equirectangular').toPlane(rayTo([lon, lat]), {}) as PlanePoint,
      [x, radians(lat)],
      1e-12,
    );
  });
});

describe('general perspective', () => {
  it('is rectilinear at d = 0 and stereographic at d = 1', () => {
    const ray = rayTo([50, 30]);
    for (const [distance, name] of [
      [0, 'rectilinear'],
      [1, 'stereographic'],
    ] as const) {
      const expected = findLens(name).toPlane(ray, {}) as PlanePoint;
      const found = findLens('perspective').toPlane(ray, { distance }) as PlanePoint;
      expectNear(found, [...expected], 1e-14);
    }
  });
});
