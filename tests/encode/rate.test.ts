import { describe, expect, it } from 'vitest';
import { frameRate, rateText, trackTimescale } from '../../src/encode/rate.js';

describe('frameRate', () => {
  it.each([
    [30, '30/1'],
    [25, '25/1'],
    [1, '1/1'],
    [120, '120/1'],
    [29.97, '30000/1001'],
    [30000 / 1001, '30000/1001'],
    [23.976, '24000/1001'],
    [23.98, '24000/1001'],
    [59.94, '60000/1001'],
    [119.88, '120000/1001'],
    [12.5, '25/2'],
    [7.5, '15/2'],
    [0.5, '1/2'],
    [100 / 3, '100/3'],
    [29.5, '59/2'],
    [24.123, '24123/1000'],
  ])('%d is %s', (fps, text) => {
    expect(rateText(frameRate(fps))).toBe(text);
  });

  it.each([
    [30, 30000],
    [29.97, 30000],
    [23.976, 24000],
    [12.5, 25000],
  ])('%d frames per second make %i ticks', (fps, ticks) => {
    expect(trackTimescale(frameRate(fps))).toBe(ticks);
  });
});
