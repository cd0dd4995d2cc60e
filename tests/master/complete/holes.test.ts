import { describe, expect, it } from 'vitest';
import { findHoles } from '../../../src/master/complete/holes.js';
import { labelRegions } from '../../../src/master/complete/regions.js';
import type { Canvas } from '../../../src/master/complete/types.js';
import { type Cut, holeOf } from './photos.js';

function canvasWith(width: number, cuts: readonly Cut[]): Canvas {
  const height = width / 2;
  const hole = new Uint8Array(width * height);
  for (const cut of cuts) {
    const round = holeOf({ width, height }, cut);
    for (let i = 0; i < hole.length; i++) hole[i]! |= round[i]!;
  }
  return { width, height, depth: 8, data: new Uint8Array(width * height * 3), hole };
}

const rows = (...lines: string[]) => Uint8Array.from(lines.join(''), (c) => (c === '#' ? 1 : 0));

describe('labelRegions', () => {
  it('joins across longitude ±180°, also at a corner', () => {
    expect(labelRegions(rows('........', '#......#', '........', '........'), 8, 4).count).toBe(1);
    expect(labelRegions(rows('........', '#.......', '.......#', '........'), 8, 4).count).toBe(1);
  });

  it('joins over a pole, where all columns meet', () => {
    expect(labelRegions(rows('#...#...', '........', '........', '........'), 8, 4).count).toBe(1);
    expect(labelRegions(rows('........', '........', '........', '.#...#..'), 8, 4).count).toBe(1);
    expect(labelRegions(rows('........', '#...#...', '........', '........'), 8, 4).count).toBe(2);
  });
});

describe('findHoles', () => {
  it('measures round holes: centre, radius, solid angle 2 pi (1 - cos r)', () => {
    const cuts: Cut[] = [
      { longitude: 0, latitude: 90, radius: 30 },
      { longitude: 178, latitude: -10, radius: 12 },
      { longitude: 40, latitude: 20, radius: 6 },
    ];
    const { holes } = findHoles(canvasWith(1024, cuts));
    expect(holes).toHaveLength(3);
    holes.forEach((hole, n) => {
      const cut = cuts[n]!;
      const r = (cut.radius * Math.PI) / 180;
      expect(hole.solidAngle / (2 * Math.PI * (1 - Math.cos(r)))).toBeCloseTo(1, 1);
      expect(hole.radius).toBeGreaterThan(r);
      expect(hole.radius).toBeLessThan(r + 0.02);
      const latitude = (Math.asin(hole.centre[1]) * 180) / Math.PI;
      expect(Math.abs(latitude - cut.latitude)).toBeLessThan(0.3);
    });
    expect(holes.map((h) => h.pole)).toEqual([1, 0, 0]);
    expect(holes[0]!.centre).toEqual([0, 1, 0]);
  });

  it('counts every pixel once', () => {
    const canvas = canvasWith(700, [{ longitude: 10, latitude: -80, radius: 15 }]);
    const { holes } = findHoles(canvas);
    expect(holes.reduce((n, h) => n + h.pixels, 0)).toBe(canvas.hole.reduce((n, h) => n + h, 0));
    expect(holes[0]!.pole).toBe(0);
  });

  it('finds a single pixel at a pole', () => {
    const canvas = canvasWith(64, []);
    canvas.hole[5] = 1;
    const { holes } = findHoles(canvas);
    expect(holes).toHaveLength(1);
    expect(holes[0]!.pixels).toBe(1);
  });

  it('finds none in a whole sphere', () => {
    expect(findHoles(canvasWith(64, [])).holes).toEqual([]);
  });
});
