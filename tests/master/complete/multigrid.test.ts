import { describe, expect, it } from 'vitest';
import { FIXED, solve } from '../../../src/master/complete/multigrid.js';

/** Harmonic on the 5-point grid too, to rounding: the real parts of z^2 and z^3, and a plane. */
const HARMONIC: Record<string, (x: number, y: number) => number> = {
  'x^2 - y^2 + 3xy': (x, y) => x * x - y * y + 3 * x * y,
  'x^3 - 3xy^2': (x, y) => x ** 3 - 3 * x * y * y,
  '7 + 2x - 5y': (x, y) => 7 + 2 * x - 5 * y,
};

/** A plane whose values are known outside a round hole with a bite, and free inside. */
function plane(size: number, f: (x: number, y: number) => number) {
  const weight = new Float64Array(size * size);
  const value = new Float64Array(size * size);
  const exact = new Float64Array(size * size);
  for (let i = 0; i < weight.length; i++) {
    const x = (((i % size) + 0.5) / size - 0.5) * 4;
    const y = ((Math.floor(i / size) + 0.5) / size - 0.5) * 4;
    exact[i] = f(x, y);
    if (Math.hypot(x, y) > 1.7 || (x < -0.8 && y < -0.6)) {
      weight[i] = FIXED;
      value[i] = exact[i]!;
    }
  }
  return { weight, value, exact };
}

const worst = (a: Float64Array, b: Float64Array) =>
  a.reduce((most, v, i) => Math.max(most, Math.abs(v - b[i]!)), 0);

describe('solve', () => {
  for (const [name, f] of Object.entries(HARMONIC)) {
    it.each([33, 128, 257])(
      `finds the harmonic function ${name} in a hole, on %i pixels`,
      (size) => {
        const { weight, value, exact } = plane(size, f);
        const solution = solve({ width: size, height: size, weight, value }, 1e-9, 60);
        expect(solution.residual).toBeLessThanOrEqual(1e-9);
        expect(worst(solution.f, exact)).toBeLessThan(1e-6);
      },
    );
  }

  it('needs about as many cycles on a large grid as on a small one', () => {
    const cycles = [64, 256].map((size) => {
      const { weight, value } = plane(size, HARMONIC['x^3 - 3xy^2']!);
      return solve({ width: size, height: size, weight, value }, 1e-6).cycles;
    });
    expect(cycles[1]).toBeLessThanOrEqual(cycles[0]! + 8);
    expect(cycles[1]).toBeLessThanOrEqual(24);
  });

  it('rebuilds a picture from its gradients and its rim (Poisson)', () => {
    const size = 60;
    const { weight, exact } = plane(size, (x, y) => Math.sin(3 * x) * Math.cos(2 * y) * 40);
    const divergence = new Float64Array(size * size);
    for (let y = 0; y < size; y++) {
      for (let x = 0; x < size; x++) {
        const i = y * size + x;
        for (const [inside, j] of [
          [x + 1 < size, i + 1],
          [y + 1 < size, i + size],
        ] as const) {
          if (!inside) continue;
          divergence[i]! -= exact[j]! - exact[i]!;
          divergence[j]! += exact[j]! - exact[i]!;
        }
      }
    }
    const { f } = solve({ width: size, height: size, weight, value: exact, divergence }, 1e-8, 60);
    expect(worst(f, exact)).toBeLessThan(1e-5);
  });

  it('screens: far from a step, a weight of 1/L^2 follows each side (exp(-x/L) between)', () => {
    const [width, length] = [200, 10];
    const weight = new Float64Array(width * 4).fill(1 / length ** 2);
    const value = Float64Array.from({ length: width * 4 }, (_, i) =>
      i % width < width / 2 ? 0 : 100,
    );
    const { f } = solve({ width, height: 4, weight, value }, 1e-9, 80);
    // The continuous solution is 50 exp(-x/L) at distance x before the step; the grid's is within 0.1.
    for (const x of [5.5, 10.5, 30.5]) {
      expect(Math.abs(f[width / 2 - Math.ceil(x)]! - 50 * Math.exp(-x / length))).toBeLessThan(0.1);
    }
  });
});
