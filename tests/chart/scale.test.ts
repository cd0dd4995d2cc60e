import { describe, expect, it } from 'vitest';
import { scaleFor, stepFor, timeTicks } from '../../src/chart/scale.js';

describe('scales', () => {
  it('of angles go in parts of a circle', () => {
    expect(scaleFor([-130, 0], 'angle', { least: 20 })).toEqual({
      low: -135,
      high: 0,
      ticks: [-135, -90, -45, 0],
    });
    expect(scaleFor([75, 270], 'angle', { least: 20 }).ticks).toEqual([0, 90, 180, 270]);
    expect(scaleFor([0, 1440], 'angle', { least: 20 }).ticks).toEqual([0, 360, 720, 1080, 1440]);
  });

  it('of numbers go in ones, twos and fives', () => {
    expect(scaleFor([0, 43], 'number', { least: 30 }).ticks).toEqual([0, 20, 40, 60]);
    expect(scaleFor([0, 0.31], 'number', { least: 0.1 }).ticks).toEqual([0, 0.1, 0.2, 0.3, 0.4]);
  });

  it('do not make a steady value look shaky', () => {
    const { low, high, ticks } = scaleFor([5, 5], 'angle', { least: 20 });
    expect([low, high]).toEqual([-5, 15]);
    expect(ticks).toContain(5);
  });

  it.each([
    [[-720.5, 1.25], 'angle'],
    [[0, 0], 'number'],
    [[0.001, 0.002], 'number'],
    [[1e5, 3e5], 'angle'],
    [[89.999, 90.001], 'angle'],
  ] as const)('hold %j, in a few steps', (values, unit) => {
    const { low, high, ticks } = scaleFor(values, unit, { least: 0.001 });
    expect(low).toBeLessThanOrEqual(Math.min(...values));
    expect(high).toBeGreaterThanOrEqual(Math.max(...values));
    expect(ticks.length).toBeGreaterThanOrEqual(2);
    expect(ticks.length).toBeLessThanOrEqual(7);
    expect(ticks[0]).toBeCloseTo(low, 9);
    expect(ticks.at(-1)).toBeCloseTo(high, 9);
  });
});

describe('steps', () => {
  it('of time', () => {
    expect(timeTicks(8, 12)).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8]);
    expect(timeTicks(0.9, 12)).toEqual([0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9]);
    expect(timeTicks(95, 12)).toEqual([0, 10, 20, 30, 40, 50, 60, 70, 80, 90]);
  });

  it('are the smallest that will do', () => {
    expect(stepFor(10, 'number')).toBe(10);
    expect(stepFor(11, 'number')).toBe(20);
    expect(stepFor(21, 'angle')).toBe(30);
    expect(stepFor(400, 'angle')).toBe(500);
  });
});
