import { describe, expect, it } from 'vitest';
import { transport } from '../../../src/master/complete/transport.js';

const SIZE = 80;
const MIDDLE = SIZE / 2;
const HOLE = 24;
const WAY = 12;

const inHole = (x: number, y: number) => Math.hypot(x + 0.5 - MIDDLE, y + 0.5 - MIDDLE) < HOLE;

/** A picture with a round hole in its middle, and what is carried into it. */
function carried(colour: (x: number, y: number) => number, hidden?: (x: number) => boolean) {
  const known = Uint8Array.from({ length: SIZE * SIZE }, (_, i) =>
    inHole(i % SIZE, Math.floor(i / SIZE)) ? 0 : 1,
  );
  const rgb = Float32Array.from({ length: 3 * SIZE * SIZE }, (_, k) => {
    const i = Math.floor(k / 3);
    return known[i] ? colour(i % SIZE, Math.floor(i / SIZE)) : 0;
  });
  const hide = Uint8Array.from(known, (k, i) => (k && hidden?.(i % SIZE) ? 1 : 0));
  const found = transport(rgb, known, hide, SIZE, WAY);
  return { ...found, known, at: (x: number, y: number) => found.value[3 * (y * SIZE + x)]! };
}

describe('transport', () => {
  // Stripes of 8 pixels that lean: the hole is entered by them at every angle.
  const slope = 0.6;
  const leaning = (x: number, y: number) =>
    100 + 60 * Math.sin(((x - slope * y) / (8 * Math.hypot(1, slope))) * 2 * Math.PI);

  it('carries stripes on in their own direction', () => {
    const { at, share } = carried(leaning);
    let off = 0;
    let straight = 0;
    let count = 0;
    // Where they enter from above, 4 to 8 pixels below the rim.
    for (let x = MIDDLE - 6; x < MIDDLE + 6; x++) {
      for (let y = MIDDLE - HOLE + 5; y < MIDDLE - HOLE + 9; y++) {
        off += Math.abs(at(x, y) - leaning(x, y));
        straight += Math.abs(leaning(x, MIDDLE - HOLE - 1) - leaning(x, y));
        count++;
        expect(share[y * SIZE + x]).toBeGreaterThan(0);
      }
    }
    expect(off).toBeLessThan(0.45 * straight);
    expect(straight / count).toBeGreaterThan(40);
  });

  it('counts wholly at the rim, less with each step, and not beyond its way', () => {
    const { share, known, depth } = carried(leaning);
    for (let i = 0; i < share.length; i++) {
      if (known[i]) expect(share[i]).toBe(1);
      else if (depth[i]! > WAY) expect(share[i]).toBe(0);
      else if (depth[i] === 1) expect(share[i]).toBeGreaterThan(0.97);
    }
    const down = Array.from(
      { length: WAY },
      (_, n) => share[(MIDDLE - HOLE + 1 + n) * SIZE + MIDDLE]!,
    );
    for (let n = 1; n < down.length; n++) expect(down[n]).toBeLessThan(down[n - 1]!);
  });

  it('carries nothing from what is hidden', () => {
    const { at, share } = carried(
      (x) => (x < MIDDLE ? 250 : 100),
      (x) => x < MIDDLE,
    );
    const left = (MIDDLE - 3) * SIZE + MIDDLE - HOLE + 3;
    expect(share[left]).toBeCloseTo(0, 6);
    const y = MIDDLE + 2;
    const x = MIDDLE + HOLE - 4;
    expect(at(x, y)).toBeCloseTo(100, 3);
    expect(share[y * SIZE + x]).toBeGreaterThan(0.5);
  });
});
