import { describe, expect, it } from 'vitest';
import { parseEase } from '../../src/scene/ease.js';
import type { Ease } from '../../src/scene/types.js';
import { secantsOf, sharesOf } from '../../src/timeline/smooth.js';
import { numberAt, type Track } from '../../src/timeline/tracks.js';

/** Fritsch and Carlson, Monotone piecewise cubic interpolation, SIAM J. Numer. Anal. 17(2), 1980: RPN 14. */
const RPN = [
  [7.99, 0],
  [8.09, 2.76429e-5],
  [8.19, 4.37498e-2],
  [8.7, 0.169183],
  [9.2, 0.469428],
  [10, 0.94374],
  [12, 0.998636],
  [15, 0.999919],
  [20, 0.999994],
] as const;

const linear: Ease = { kind: 'linear' };

function track(
  points: readonly (readonly [number, number])[],
  { open = false, eases = {} }: { open?: boolean; eases?: Readonly<Record<number, Ease>> } = {},
): Track<number> {
  const stops = points.map(([at, value], index) => ({
    at,
    value,
    ease: eases[index] ?? linear,
    smooth: !(index in eases),
  }));
  const change = (from: number, to: number) => stops[to]!.value - stops[from]!.value;
  return { stops, shares: sharesOf(stops, secantsOf(stops, change), open) };
}

const slope = (path: Track<number>, at: number, step: number) =>
  (numberAt(path, at + step) - numberAt(path, at)) / step;

describe.each([
  ['at rest', false],
  ['on the move', true],
])('the published data, ends %s', (_, open) => {
  const path = track(RPN, { open });

  it('are met', () => {
    for (const [x, y] of RPN) expect(numberAt(path, x)).toBe(y);
  });

  it('never fall and never overshoot between two points', () => {
    for (const [index, [x, y]] of RPN.slice(0, -1).entries()) {
      const [nextX, nextY] = RPN[index + 1]!;
      let before: number = y;
      for (let step = 1; step <= 500; step++) {
        const now = numberAt(path, x + ((nextX - x) * step) / 500);
        expect(now).toBeGreaterThanOrEqual(before - 1e-15);
        expect(now).toBeLessThanOrEqual(nextY + 1e-15);
        before = now;
      }
    }
  });

  it('are run through without a jump of speed, and not halted at', () => {
    for (const [x] of RPN.slice(1, -1)) {
      const [left, right] = [slope(path, x, -1e-7), slope(path, x, 1e-7)];
      expect(Math.abs(left - right)).toBeLessThan(1e-4 * Math.max(1, right));
      expect(right).toBeGreaterThan(0);
    }
  });
});

describe('a smooth path', () => {
  it('keeps slopes a, b of the secant within a^2 + b^2 <= 9', () => {
    const path = track(RPN, { open: true });
    const ratios = RPN.slice(0, -1).map(([x, y], index) => {
      const [nextX, nextY] = RPN[index + 1]!;
      const secant = (nextY - y) / (nextX - x);
      return [slope(path, x, 1e-8) / secant, slope(path, nextX, -1e-8) / secant] as const;
    });
    // Unlimited, the second one's would be far out: the limit is at work.
    expect(Math.max(...ratios.map(([a, b]) => a * a + b * b))).toBeGreaterThan(8.9);
    for (const [a, b] of ratios) expect(a * a + b * b).toBeLessThan(9.01);
  });

  it('is the parabola where three points lie on one and nothing needs a limit', () => {
    const path = track(
      [
        [0, 10],
        [1, 11],
        [3, 19],
        [4, 26],
      ],
      { open: true },
    );
    // y = x^2 + 10 has slopes 2 and 6 at 1 and 3; a cubic with them is the parabola itself.
    for (const x of [1, 1.3, 2, 2.9, 3]) expect(numberAt(path, x)).toBeCloseTo(x * x + 10, 12);
  });

  it('rests where the value turns back, and where it stays', () => {
    const path = track([
      [0, 0],
      [1, 10],
      [2, 5],
      [3, 5],
      [4, 9],
    ]);
    for (const x of [0, 1, 2, 3, 4]) expect(Math.abs(slope(path, x, 1e-7))).toBeLessThan(1e-4);
    expect(numberAt(path, 2.4)).toBe(5);
  });

  it('takes over the speed of an eased stretch beside it', () => {
    const points = [
      [0, 0],
      [2, 20],
      [3, 40],
      [4, 45],
    ] as const;
    const after = track(points, { eases: { 0: linear } });
    expect(slope(after, 2, 1e-7)).toBeCloseTo(10, 4);
    const before = track(points, { eases: { 2: linear } });
    expect(slope(before, 3, -1e-7)).toBeCloseTo(5, 4);
    const gentle = track(points, { eases: { 0: parseEase('ease-in-out')! } });
    expect(slope(gentle, 2, 1e-7)).toBeCloseTo(0, 4);
    const held = track(points, { eases: { 0: parseEase('hold')! } });
    expect(numberAt(held, 1.99)).toBe(0);
    expect(slope(held, 2, 1e-7)).toBeCloseTo(0, 4);
  });
});
