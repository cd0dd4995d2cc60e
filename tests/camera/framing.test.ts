import { describe, expect, it } from 'vitest';
import { axisOf, fovProblem, frameLens } from '../../src/camera/framing.js';
import type { Lens } from '../../src/camera/types.js';
import { degrees } from '../../src/math.js';
import { findLens, projections } from '../../src/projection/index.js';
import type { FovSide } from '../../src/scene/types.js';
import { angleBetween, paramSets } from '../projection/support.js';

const rectilinear = findLens('rectilinear');

/** Full angles of a lens in degrees, by what its frame's sides and corners see. */
function anglesOf(lens: Lens) {
  const [x, y] = lens.halfExtent;
  const off = (point: [number, number]) => {
    const { ray } = findLens(lens.projection).toRay(point, lens.params);
    return 2 * degrees(angleBetween(ray, [0, 0, -1]));
  };
  return { horizontal: off([x, 0]), vertical: off([0, y]), diagonal: off([x, y]) };
}

describe('sides', () => {
  it.each([
    ['shorter', 1080, 1920, 'horizontal'],
    ['shorter', 1920, 1080, 'vertical'],
    ['shorter', 1080, 1080, 'horizontal'],
    ['longer', 1080, 1920, 'vertical'],
    ['longer', 1920, 1080, 'horizontal'],
    ['longer', 1080, 1080, 'horizontal'],
    ['vertical', 1920, 1080, 'vertical'],
    ['diagonal', 1920, 1080, 'diagonal'],
  ] as const)('%s of %dx%d is %s', (side, width, height, axis) => {
    expect(axisOf(side, width, height)).toBe(axis);
  });
});

// tan(V/2) = tan(H/2) h/w, by the geometry of a flat picture; computed in double precision.
describe('rectilinear at 90 degrees across', () => {
  it.each([
    [1920, 1080, 58.7155],
    [1080, 1920, 121.2845],
    [1080, 1350, 102.6804],
    [1080, 1080, 90],
  ])('%dx%d is %f degrees high', (width, height, vertical) => {
    const lens = frameLens(rectilinear, {}, 90, 'horizontal', width, height);
    expect(lens.halfExtent[0]).toBeCloseTo(1, 14);
    expect(anglesOf(lens).vertical).toBeCloseTo(vertical, 4);
  });
});

// fov = 2 atan(size / 2f) on 36 x 24 mm, computed in double precision; 12, 14, 18, 24, 35, 50 and 85 mm
// agree with the table of photonstophotos.net to 0.1 degrees.
describe('focal lengths on 36 x 24 mm', () => {
  it.each([
    [12, 112.62, 90, 121.97],
    [14, 104.25, 81.2, 114.18],
    [18, 90, 67.38, 100.48],
    [24, 73.74, 53.13, 84.06],
    [35, 54.43, 37.85, 63.44],
    [50, 39.6, 26.99, 46.79],
    [85, 23.91, 16.07, 28.56],
  ])('%d mm: %f, %f, %f degrees', (focal, horizontal, vertical, diagonal) => {
    const sizes = { horizontal: 36, vertical: 24, diagonal: Math.hypot(36, 24) };
    for (const side of ['horizontal', 'vertical', 'diagonal'] as const) {
      const fov = 2 * degrees(Math.atan(sizes[side] / (2 * focal)));
      const found = anglesOf(frameLens(rectilinear, {}, fov, side, 36, 24));
      expect(Math.abs(found.horizontal - horizontal)).toBeLessThan(0.0051);
      expect(Math.abs(found.vertical - vertical)).toBeLessThan(0.0051);
      expect(Math.abs(found.diagonal - diagonal)).toBeLessThan(0.0051);
    }
  });
});

const cases = projections.flatMap((projection) =>
  paramSets(projection.name).map((params) => ({ name: projection.name, params })),
);

describe.each(cases)('$name $params', ({ name, params }) => {
  const projection = findLens(name);

  it.each([
    [1080, 1920],
    [1920, 1080],
    [1000, 1000],
    [4000, 100],
  ])('frames %dx%d along every side, with square pixels', (width, height) => {
    for (const side of ['horizontal', 'vertical', 'diagonal'] as const) {
      const { max, inclusive } = projection.fovLimit(side, params);
      const parts = [1e-5, 0.2, 0.5, 0.98, ...(inclusive ? [1] : [])];
      for (const fov of parts.map((part) => degrees(max) * part)) {
        expect(fovProblem(projection, params, fov, side, width, height)).toBeUndefined();
        const lens = frameLens(projection, params, fov, side, width, height);
        expect(anglesOf(lens)[side]).toBeCloseTo(fov, fov > 355 ? 5 : 8);
        const [x, y] = lens.halfExtent;
        expect(x / y / (width / height)).toBeCloseTo(1, 12);
      }
    }
  });
});

describe('fov problems', () => {
  const problem = (
    name: string,
    fov: number,
    side: FovSide = 'shorter',
    params = {},
    [width, height] = [1080, 1920],
  ) => fovProblem(findLens(name), params, fov, side, width!, height!);

  it.each([
    ['rectilinear', 200, 'rectilinear takes more than 0 and less than 180 degrees, found 200'],
    ['rectilinear', 180, 'rectilinear takes more than 0 and less than 180 degrees, found 180'],
    ['rectilinear', 0, 'rectilinear takes more than 0 and less than 180 degrees, found 0'],
    ['stereographic', 360, 'stereographic takes more than 0 and less than 360 degrees, found 360'],
    ['stereographic', -5, 'stereographic takes more than 0 and less than 360 degrees, found -5'],
    ['mirror-ball', 361, 'mirror-ball takes more than 0 and at most 360 degrees, found 361'],
    ['orthographic', 181, 'orthographic takes more than 0 and at most 180 degrees, found 181'],
    ['equidistant', Number.NaN, 'equidistant takes more than 0 and at most 360 degrees, found NaN'],
  ])('%s at %d', (name, fov, message) => {
    expect(problem(name, fov)).toBe(message);
  });

  it('names the side where the range depends on it', () => {
    expect(problem('cylindrical', 180, 'vertical')).toBe(
      "cylindrical takes more than 0 and less than 180 degrees along the frame's vertical side, found 180",
    );
    expect(problem('cylindrical', 400, 'shorter')).toBe(
      "cylindrical takes more than 0 and at most 360 degrees along the frame's horizontal side, found 400",
    );
    expect(problem('cylindrical', 200, 'shorter', {}, [1920, 1080])).toBe(
      "cylindrical takes more than 0 and less than 180 degrees along the frame's vertical side, found 200",
    );
    expect(problem('panini', 240, 'horizontal', { distance: 0.5 })).toBe(
      "panini takes more than 0 and less than 240 degrees along the frame's horizontal side, found 240",
    );
    expect(problem('panini', 180, 'horizontal', { distance: 0 })).toContain(
      'less than 180 degrees',
    );
    expect(problem('equirectangular', 190, 'diagonal')).toBe(
      "equirectangular takes more than 0 and less than 180 degrees along the frame's diagonal, found 190",
    );
  });

  it.each([
    ['rectilinear', 179.99],
    ['stereographic', 359.9],
    ['mirror-ball', 360],
    ['equidistant', 360],
    ['equal-area', 360],
    ['orthographic', 180],
    ['cylindrical', 360],
    ['panini', 359],
    ['equirectangular', 360],
  ])('%s takes %d', (name, fov) => {
    expect(problem(name, fov)).toBeUndefined();
    const lens = frameLens(findLens(name), {}, fov, 'shorter', 1080, 1920);
    expect(lens.halfExtent.every((half) => half > 0 && Number.isFinite(half))).toBe(true);
  });
});
