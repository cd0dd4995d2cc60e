import { describe, expect, it } from 'vitest';
import { blendRays } from '../../src/projection/blend.js';
import type { Ray } from '../../src/projection/types.js';
import { angleBetween, places, rayTo } from './support.js';

const at = (ray: Ray, inside = true) => ({ inside, ray });

describe('great-circle blend', () => {
  // Slerp from 0 to 90 degrees (Shoemake, SIGGRAPH 1985): a quarter of the way is 22.5 degrees.
  it('goes evenly along the circle', () => {
    const { ray } = blendRays(at([0, 0, -1]), at([1, 0, 0]), 0.25);
    expect(ray[0]).toBeCloseTo(0.38268343236509, 13);
    expect(ray[1]).toBe(0);
    expect(ray[2]).toBeCloseTo(-0.923879532511287, 13);
  });

  it('keeps its share of the angle between any two', () => {
    const rays = places(400, 3).map(rayTo);
    rays.slice(1).forEach((to, index) => {
      const from = rays[index]!;
      const whole = angleBetween(from, to);
      for (const share of [0, 0.1, 0.5, 0.83, 1]) {
        const { ray } = blendRays(at(from), at(to), share);
        expect(angleBetween(from, ray)).toBeCloseTo(whole * share, 9);
        expect(angleBetween(ray, to)).toBeCloseTo(whole * (1 - share), 9);
      }
    });
  });

  it('stays where both are the same', () => {
    const ray = rayTo([33, 44]);
    expect(angleBetween(blendRays(at(ray), at(ray), 0.3).ray, ray)).toBeLessThan(1e-15);
    const near = rayTo([33.00000001, 44]);
    expect(angleBetween(blendRays(at(ray), at(near), 0.5).ray, ray)).toBeLessThan(1e-9);
  });

  it.each([[[0, 0, -1]], [[0, 1, 0]], [[1, 0, 0]], [[0, 0.6, 0.8]]] as const)(
    'goes from %o to the opposite without NaN, by the way of a third',
    (from) => {
      const to: Ray = [-from[0], -from[1], -from[2]];
      for (const share of [0, 0.25, 0.5, 0.75, 1]) {
        const { ray } = blendRays(at(from), at(to), share);
        expect(angleBetween(from, ray)).toBeCloseTo(Math.PI * share, 9);
        expect(Math.hypot(...ray)).toBeCloseTo(1, 14);
      }
    },
  );

  it('mixes the masks alike', () => {
    const ray = rayTo([0, 0]);
    const cover = (from: boolean, to: boolean) => blendRays(at(ray, from), at(ray, to), 0.25);
    expect(cover(true, true)).toMatchObject({ coverage: 1, inside: true });
    expect(cover(true, false)).toMatchObject({ coverage: 0.75, inside: true });
    expect(cover(false, true)).toMatchObject({ coverage: 0.25, inside: true });
    expect(cover(false, false)).toMatchObject({ coverage: 0, inside: false });
  });
});
