import { describe, expect, it } from 'vitest';
import { parseEase } from '../../src/scene/ease.js';
import { eased } from '../../src/timeline/easing.js';

/**
 * Control points from CSS Easing Functions Level 1 (W3C); outputs computed from them in double
 * precision, rounded to six decimals.
 */
const PUBLISHED = {
  ease: { 0.1: 0.094796, 0.25: 0.408511, 0.5: 0.802403, 0.75: 0.960459, 0.9: 0.994316 },
  'ease-in': { 0.1: 0.017027, 0.25: 0.093465, 0.5: 0.315357, 0.75: 0.621862, 0.9: 0.839428 },
  'ease-out': { 0.1: 0.160572, 0.25: 0.378138, 0.5: 0.684643, 0.75: 0.906535, 0.9: 0.982973 },
  'ease-in-out': { 0.1: 0.019722, 0.25: 0.129162, 0.5: 0.5, 0.75: 0.870838, 0.9: 0.980278 },
};

const CONTROL_POINTS = {
  ease: 'cubic-bezier(0.25, 0.1, 0.25, 1)',
  'ease-in': 'cubic-bezier(0.42, 0, 1, 1)',
  'ease-out': 'cubic-bezier(0, 0, 0.58, 1)',
  'ease-in-out': 'cubic-bezier(0.42, 0, 0.58, 1)',
};

describe('easing', () => {
  for (const [name, outputs] of Object.entries(PUBLISHED)) {
    it(`${name} follows its published curve`, () => {
      for (const [input, output] of Object.entries(outputs)) {
        expect(Math.abs(eased(parseEase(name)!, Number(input)) - output)).toBeLessThan(5.1e-7);
      }
    });
  }

  it('names mean the control points of the standard', () => {
    for (const [name, points] of Object.entries(CONTROL_POINTS)) {
      expect(parseEase(name)).toEqual(parseEase(points));
    }
  });

  it('solves any curve to 1e-9: points taken from the curve by its parameter come back', () => {
    const at = (a: number, b: number, t: number) =>
      3 * a * t * (1 - t) ** 2 + 3 * b * t ** 2 * (1 - t) + t ** 3;
    for (const x1 of [0, 0.1, 0.42, 0.9, 1]) {
      for (const x2 of [0, 0.2, 0.58, 1]) {
        for (const [y1, y2] of [
          [0, 1],
          [-2, 3],
          [1, 0],
        ] as const) {
          const ease = { kind: 'bezier', points: [x1, y1, x2, y2] } as const;
          for (let t = 0.005; t < 1; t += 0.01) {
            // Where the curve stands upright, x(t) hardly says which t it was.
            const upright = Math.abs(t - 0.5) < 0.02 && x1 === 1 && x2 === 0;
            if (upright) continue;
            expect(Math.abs(eased(ease, at(x1, x2, t)) - at(y1, y2, t))).toBeLessThan(1e-9);
          }
        }
      }
    }
  });

  it('linear is the identity, hold stays until the end', () => {
    expect(eased({ kind: 'linear' }, 0.3)).toBe(0.3);
    expect(eased({ kind: 'hold' }, 0.999999)).toBe(0);
    expect(eased({ kind: 'hold' }, 1)).toBe(1);
  });

  it('starts at exactly 0 and ends at exactly 1, before and after too', () => {
    for (const name of ['linear', 'ease', 'ease-in-out', 'cubic-bezier(1, 0, 0, 1)', 'hold']) {
      expect([-1, 0, 1, 2].map((x) => eased(parseEase(name)!, x))).toEqual([0, 0, 1, 1]);
    }
  });

  it('overshoots where the control points say so', () => {
    expect(eased(parseEase('cubic-bezier(0.3, 0, 0.5, 3)')!, 0.7)).toBeGreaterThan(1.3);
    expect(eased(parseEase('cubic-bezier(0.5, -1, 0.5, 1)')!, 0.2)).toBeLessThan(-0.1);
  });
});
