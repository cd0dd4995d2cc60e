import { describe, expect, it } from 'vitest';
import { InputError } from '../../../src/errors.js';
import { type PlacementOptions, placement } from '../../../src/master/complete/placement.js';

const at = (width: number, height: number, options?: PlacementOptions) =>
  placement({ width, height }, options);

describe('placement', () => {
  it('takes the crop fields of a real partial picture', () => {
    // A published GPano example: full 6366x3183, crop 3228x1614, left 1535, top 1265 (chris.orr.me.uk).
    const options = { full: { width: 6366, height: 3183 }, left: 1535, top: 1265 };
    expect(at(3228, 1614, options)).toEqual({ width: 6366, height: 3183, left: 1535, top: 1265 });
  });

  it('takes a 2:1 picture for the whole sphere', () => {
    expect(at(8192, 4096)).toEqual({ width: 8192, height: 4096, left: 0, top: 0 });
  });

  it.each([
    // 8000 wide: 4000 rows for 180 degrees, so 60 degrees down from the zenith's 30 is row 666.67.
    [{ topLatitude: 60 }, 8000, 3000, 667],
    [{ bottomLatitude: -90 }, 8000, 3000, 1000],
    [{ topLatitude: 45, bottomLatitude: -90 }, 8000, 3000, 1000],
    [{ topLatitude: 90 }, 8000, 3000, 0],
    [{ horizonRow: 1500 }, 8000, 3000, 500],
    [{ horizonRow: 1500.4 }, 8000, 3000, 500],
  ])('places %j of a %ix%i picture at row %i', (options, width, height, top) => {
    expect(at(width, height, options)).toEqual({ width: 8000, height: 4000, left: 0, top });
  });

  it('centres a picture that is not all the way round, at its own scale', () => {
    expect(at(2000, 1500, { horizonRow: 750, across: 90 })).toEqual({
      width: 8000,
      height: 4000,
      left: 3000,
      top: 1250,
    });
  });

  it('adds a column to an odd width, for no whole sphere has one', () => {
    expect(at(7999, 3000, { bottomLatitude: -90 })).toEqual({
      width: 8000,
      height: 4000,
      left: 0,
      top: 1000,
    });
  });

  it.each<[string, PlacementOptions | undefined, RegExp]>([
    [
      'no placement',
      undefined,
      /twice as wide as high, found 8000x3000\. Say where.*left and top.*latitude.*horizon/,
    ],
    ['two ways', { topLatitude: 45, horizonRow: 3 }, /one way to place the picture, found 2/],
    [
      'latitudes that would stretch',
      { topLatitude: 45, bottomLatitude: -45 },
      /span 135\.00 degrees.*found 45 to -45/,
    ],
    ['a latitude past the pole', { topLatitude: 95 }, /-90 to 90 degrees, found 95/],
    [
      'a picture over the pole',
      { horizonRow: 2500 },
      /within the 8000x4000 sphere, found it at left 0, top -500/,
    ],
    [
      'a whole size that is not 2:1',
      { full: { width: 8000, height: 3000 } },
      /twice as wide as high.*found 8000x3000/,
    ],
    [
      'left without the whole size',
      { left: 3 },
      /the whole sphere's size together with left and top/,
    ],
    [
      'a crop outside',
      { full: { width: 8000, height: 4000 }, top: 1001 },
      /ends at column 8000, row 4001/,
    ],
    ['no width', { topLatitude: 45, across: 0 }, /more than 0 and at most 360 degrees, found 0/],
  ])('refuses %s', (_, options, message) => {
    expect(() => at(8000, 3000, options)).toThrow(InputError);
    expect(() => at(8000, 3000, options)).toThrow(message);
  });
});
