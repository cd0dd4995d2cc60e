import { describe, expect, it } from 'vitest';
import { chartAround } from '../../../src/master/complete/chart.js';
import type { Field } from '../../../src/master/complete/field.js';
import type { Hole } from '../../../src/master/complete/holes.js';
import { lightBefore } from '../../../src/master/complete/light.js';

const cap: Hole = {
  label: 1,
  centre: [0, 1, 0],
  radius: 0.8,
  pole: 1,
  solidAngle: 1.9,
  pixels: 1,
};

function field(colour: readonly [number, number, number]): Field {
  const chart = chartAround([0, 1, 0], 1.5, 40);
  const rgb = Float32Array.from({ length: chart.size ** 2 * 3 }, (_, i) => colour[i % 3]!);
  return { chart, rgb };
}

describe('lightBefore', () => {
  it('lets the same cloud come out alike before a darker sky', () => {
    const light = lightBefore(cap, field([110, 150, 200]));
    // A cloud that covers 7 tenths of the sky, white as far as it does: sky + 0.7 (white - sky).
    for (const [c, low, high] of [
      [0, 110, 75],
      [1, 150, 115],
      [2, 200, 170],
    ] as const) {
      const copied = 0.7 * (255 - low);
      const laid = (copied * light([110, 150, 200], c)) / light([75, 115, 170], c);
      expect(high + laid).toBeCloseTo(high + 0.7 * (255 - high), 3);
    }
  });

  it('lays cloud from before a sky nearly white thinner, but as white as it was', () => {
    const light = lightBefore(cap, field([110, 150, 200]));
    const there = [240, 228, 205] as const;
    const here = [75, 115, 170] as const;
    // 8 tenths of that sky are covered; what comes out must be one share of white in each channel.
    const shares = [0, 1, 2].map((c) => {
      const laid = (0.8 * (255 - there[c]!) * light(there, c)) / light(here, c);
      return laid / (255 - here[c]!);
    });
    expect(shares[0]).toBeGreaterThan(0.2);
    expect(shares[0]).toBeLessThan(0.8);
    for (const share of shares) expect(share).toBeCloseTo(shares[0]!, 6);
  });

  it('stays within reason, all channels together', () => {
    const light = lightBefore(cap, field([110, 150, 200]));
    const mean = (low: readonly number[]) => (light(low, 0) + light(low, 1) + light(low, 2)) / 3;
    expect(mean([254, 254, 254])).toBeCloseTo(1.6, 9);
    expect(mean([0, 0, 0])).toBeCloseTo(0.6, 9);
  });

  it('counts evenly before a sky that is not blue, and below the horizon', () => {
    expect(lightBefore(cap, field([150, 150, 160]))([40, 40, 40], 0)).toBe(1);
    expect(lightBefore({ ...cap, pole: -1 }, field([110, 150, 200]))([40, 40, 40], 0)).toBe(1);
  });
});
