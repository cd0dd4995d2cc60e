import {
  geoAzimuthalEqualAreaRaw,
  geoAzimuthalEquidistantRaw,
  geoEquirectangularRaw,
  geoGnomonicRaw,
  geoOrthographicRaw,
  geoStereographicRaw,
} from 'd3-geo';
import proj4 from 'proj4';
import { describe, expect, it } from 'vitest';
import { degrees, radians } from '../../src/math.js';
import { findLens } from '../../src/projection/index.js';
import { latitudeOf, longitudeOf } from '../../src/projection/sphere.js';
import { OUTSIDE, type PlanePoint } from '../../src/projection/types.js';
import { angleBetween, places, rayTo } from './support.js';

/** Degrees off the axis within which the other library answers and numbers are well conditioned. */
const REACH: Record<string, number> = {
  rectilinear: 89,
  stereographic: 179,
  equidistant: 179,
  'equal-area': 179,
  orthographic: 89,
  equirectangular: 181,
  'mirror-ball': 179,
};

type Forward = (lon: number, lat: number) => readonly [number, number];

/** 1,000 random places of the reach, each checked by `check`. */
function onRandomPlaces(name: string, check: (place: [number, number]) => void) {
  const inReach = places(4000, 7).filter(
    (place) => angleBetween(rayTo(place), [0, 0, -1]) < radians(REACH[name]!),
  );
  expect(inReach.length).toBeGreaterThanOrEqual(1000);
  inReach.slice(0, 1000).forEach(check);
}

function agrees(name: string, forward: Forward, scale: number, tolerance: number) {
  const projection = findLens(name);
  onRandomPlaces(name, (place) => {
    const theirs = forward(...place);
    const ours = projection.toPlane(rayTo(place), {});
    expect(ours).not.toBe(OUTSIDE);
    const [x, y] = ours as PlanePoint;
    const size = Math.max(1, Math.hypot(x, y));
    expect(Math.hypot(x - scale * theirs[0], y - scale * theirs[1]) / size).toBeLessThan(tolerance);
  });
}

/**
 * On the unit sphere. proj4 2.22's spherical laea gives NaN, so that one gets a flattening of 1e-9, which
 * moves a place by about as much.
 */
const converterOf = (proj: string) => {
  const figure = proj === 'laea' ? '+a=1 +rf=1000000000' : '+R=1';
  return proj4(`+proj=${proj} +lat_0=0 +lon_0=0 +x_0=0 +y_0=0 ${figure} +units=m +no_defs`);
};

describe('against proj4, 1,000 random places each', () => {
  it.each([
    ['rectilinear', 'gnom', 1],
    ['stereographic', 'stere', 1],
    ['equidistant', 'aeqd', 1],
    ['equal-area', 'laea', 1],
    ['orthographic', 'ortho', 1],
    ['equirectangular', 'eqc', 1],
    ['mirror-ball', 'laea', 0.5],
  ])('%s is its %s', (name, theirs, scale) => {
    const converter = converterOf(theirs);
    agrees(name, (lon, lat) => converter.forward([lon, lat]) as [number, number], scale, 1e-8);
    onRandomPlaces(name, (place) => {
      const [x, y] = converter.forward(place) as [number, number];
      const { inside, ray } = findLens(name).toRay([x * scale, y * scale], {});
      expect(inside).toBe(true);
      expect(angleBetween(ray, rayTo(place))).toBeLessThan(1e-7);
    });
  });
});

// d3's raw projections take radians and put y up; its stereographic radius is tan(c / 2).
describe('against d3-geo, 1,000 random places each', () => {
  it.each([
    ['rectilinear', geoGnomonicRaw, 1],
    ['stereographic', geoStereographicRaw, 2],
    ['equidistant', geoAzimuthalEquidistantRaw, 1],
    ['equal-area', geoAzimuthalEqualAreaRaw, 1],
    ['orthographic', geoOrthographicRaw, 1],
    ['equirectangular', geoEquirectangularRaw, 1],
    ['mirror-ball', geoAzimuthalEqualAreaRaw, 0.5],
  ] as const)('%s', (name, raw, scale) => {
    agrees(name, (lon, lat) => raw(radians(lon), radians(lat)), scale, 1e-9);
  });

  it('reads longitude and latitude as geoStereographic inverts them', () => {
    const [lon, lat] = [33, -21];
    const [x, y] = geoStereographicRaw(radians(lon), radians(lat));
    const { ray } = findLens('stereographic').toRay([2 * x, 2 * y], {});
    expect(degrees(longitudeOf(ray))).toBeCloseTo(lon, 12);
    expect(degrees(latitudeOf(ray))).toBeCloseTo(lat, 12);
  });
});
