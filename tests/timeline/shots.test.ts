import { describe, expect, it } from 'vitest';
import type { Transition } from '../../src/scene/types.js';
import { frameTime } from '../../src/timeline/frames.js';
import { shotsAt, shotTimes } from '../../src/timeline/shots.js';

const dissolve = (duration: number): Transition => ({ kind: 'dissolve', duration });
const planet = (duration: number): Transition => ({ kind: 'planet', duration, turns: 1, fov: 250 });
const CUT: Transition = { kind: 'cut' };

const lasting = (...durations: number[]) => durations.map((duration) => ({ duration }));
const clip = (durations: number[], transitions: Transition[]) =>
  ({ shots: lasting(...durations), transitions }) as unknown as Parameters<typeof shotsAt>[0];

describe('the times of shots', () => {
  it('follow on each other at cuts, and overlap by a transition', () => {
    expect(shotTimes(lasting(5, 4, 3.5), [dissolve(1), CUT])).toEqual([
      { start: 0, end: 5 },
      { start: 4, end: 8 },
      { start: 8, end: 11.5 },
    ]);
  });
});

describe('what is seen', () => {
  it('changes at a cut on the very frame, also where the sum of durations is not exact', () => {
    // 0.1 + 0.2 is a little more than 0.3: frame 3 of 10 a second must not still be the second shot's.
    const shots = clip([0.1, 0.2, 1], [CUT, CUT]);
    const seen = [0, 1, 2, 3, 4].map((n) => shotsAt(shots, frameTime(n, 10)));
    expect(seen.map((list) => list.map(({ shot }) => shot))).toEqual([[0], [1], [1], [2], [2]]);
    expect(seen[3]).toEqual([{ shot: 2, at: 0, share: 1 }]);
    expect(seen[4]![0]!.at).toBeCloseTo(0.1, 12);
  });

  it('is in a dissolve a mixture that goes evenly from the one to the other', () => {
    const shots = clip([4, 4], [dissolve(2)]);
    expect(shotsAt(shots, 1.9)).toEqual([{ shot: 0, at: 1.9, share: 1 }]);
    expect(shotsAt(shots, 2)).toEqual([{ shot: 0, at: 2, share: 1 }]);
    expect(shotsAt(shots, 2.5)).toEqual([
      { shot: 0, at: 2.5, share: 0.75 },
      { shot: 1, at: 0.5, share: 0.25 },
    ]);
    expect(shotsAt(shots, 4)).toEqual([{ shot: 1, at: 2, share: 1 }]);
    expect(shotsAt(shots, 9)).toEqual([{ shot: 1, at: 7, share: 1 }]);
  });

  it('is in a planet transition mixed only while both are planets', () => {
    const shots = clip([4, 4], [planet(2)]);
    const counts = [2.1, 2.8, 2.9, 3, 3.1, 3.2, 3.9].map((at) => shotsAt(shots, at).length);
    expect(counts).toEqual([1, 1, 2, 2, 2, 1, 1]);
    for (const { share } of shotsAt(shots, 3)) expect(share).toBeCloseTo(0.5, 12);
  });

  it('is never more than two shots, whose shares make 1', () => {
    const shots = clip([3, 2, 3, 2], [dissolve(1), dissolve(1), planet(1)]);
    for (let n = 0; n < 200; n++) {
      const seen = shotsAt(shots, n / 28);
      expect(seen.length).toBeLessThanOrEqual(2);
      expect(seen.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1, 12);
    }
  });
});
