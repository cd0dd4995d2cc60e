import { describe, expect, it } from 'vitest';
import { parseScene } from '../../src/scene/parse.js';
import { summarise } from '../../src/scene/summary.js';
import { lapOf, sceneLength, sceneTime } from '../../src/timeline/timing.js';

const sceneOf = (more: string, keyframes = '[{ at: 0, yaw: 0 }]') =>
  parseScene(`master: a.jpg\nduration: 8\nfps: 25\n${more}\nkeyframes: ${keyframes}\n`, 'a.yaml');

const shown = (more: string, ...instants: number[]) =>
  instants.map((at) => Number(sceneTime(sceneOf(more), at).toFixed(9)));

describe("the scene's time", () => {
  it("is the clip's own without timing", () => {
    expect(shown('', -0.1, 0, 3.3, 8, 9)).toEqual([-0.1, 0, 3.3, 8, 9]);
    expect(sceneLength(sceneOf(''))).toBe(8);
  });

  it('goes there and back with ping-pong, in half the time each', () => {
    expect(shown('timing: ping-pong', 0, 1, 4, 5, 8)).toEqual([0, 1, 4, 3, 0]);
    expect(sceneLength(sceneOf('timing: ping-pong'))).toBe(4);
    expect(shown('timing: ping-pong\nsceneLength: 12', 0, 1, 4, 5, 8)).toEqual([0, 3, 12, 9, 0]);
  });

  it('holds, goes slower, backwards and by an ease', () => {
    const more = `timing:
  - { at: 1, shows: 1 }
  - { at: 2, shows: 3 }
  - { at: 50%, shows: 3, ease: ease-in }
  - { at: 8, shows: 1 }`;
    // CSS Easing Level 1: ease-in at 0.25 is 0.093465.
    expect(shown(more, 0, 1, 1.5, 2, 3.9, 4, 8, 9)).toEqual([1, 1, 2, 3, 3, 3, 1, 1]);
    expect(shown(more, 5)[0]).toBeCloseTo(3 - 2 * 0.093465, 5);
  });

  it('is as long as the latest time that timing shows, and shares are taken of it', () => {
    const more = 'timing: [{ at: 0, shows: 0 }, { at: 50%, shows: 75% }, { at: 8, shows: 20 }]';
    expect(sceneLength(sceneOf(more))).toBe(20);
    expect(shown(more, 4)).toEqual([15]);
    const keyframes = '[{ at: 0, yaw: 0 }, { at: 50%, yaw: 5 }, { at: 20, yaw: 9 }]';
    expect(sceneOf(more, keyframes).keyframes.map(({ at }) => at)).toEqual([0, 10, 20]);
    const shares = 'timing: [{ at: 0, shows: 100% }, { at: 8, shows: 0 }]';
    expect(sceneLength(sceneOf(shares))).toBe(8);
    expect(shown(shares, 0, 2)).toEqual([8, 6]);
  });

  it('changes speed gradually on a smooth path: never back, and on the move at its ends', () => {
    const entries = [0, 1, 4, 5, 8].map((at, i) => ({ at, shows: [0, 3, 4, 4, 10][i] }));
    const list = entries.map((entry) => ({ ...entry, path: 'smooth' }));
    const scene = sceneOf(`timing: ${JSON.stringify(list)}`);
    const speed = (t: number, step: number) =>
      (sceneTime(scene, t + step) - sceneTime(scene, t)) / step;
    for (let t = 0; t < 8; t += 0.01) expect(speed(t, 0.01)).toBeGreaterThanOrEqual(-1e-12);
    for (const { at, shows } of entries) expect(sceneTime(scene, at)).toBe(shows);
    for (const t of [1, 4, 5]) expect(speed(t, 1e-6)).toBeCloseTo(speed(t, -1e-6), 3);
    expect(speed(0, 1e-6)).toBeGreaterThan(1);
    expect(sceneTime(scene, 4.5)).toBe(4);
  });

  it('goes round with loop', () => {
    expect(shown('loop: true', -1, 0, 7, 8, 9)).toEqual([-1, 0, 7, 8, 9]);
    expect(lapOf(sceneOf('loop: true'))).toBe(8);
    const pingPong = 'loop: true\ntiming: ping-pong';
    expect(shown(pingPong, -1, 0, 7, 8, 9)).toEqual([1, 0, 1, 0, 1]);
    expect(lapOf(sceneOf(pingPong))).toBeUndefined();
    const once =
      'loop: true\ntiming: [{ at: 0, shows: 0 }, { at: 4, shows: 3 }, { at: 8, shows: 4 }]';
    expect(shown(once, -4, 0, 4, 8, 12)).toEqual([-1, 0, 3, 4, 7]);
    expect(lapOf(sceneOf(once))).toBe(4);
  });

  it('of a loop is stretched to whole frames: the frame after the last is the first again', () => {
    const ntsc = { ...sceneOf('loop: true'), fps: 30000 / 1001 };
    // 8 s are 239.76 frames, so 240.
    expect(sceneTime(ntsc, (240 * 1001) / 30000)).toBeCloseTo(8, 12);
    expect(sceneTime({ ...ntsc, loop: false }, 8.008)).toBe(8.008);
  });
});

describe('the summary of a timed scene', () => {
  it("measures the turning that the clip shows, at the clip's times", () => {
    const keyframes = '[{ at: 0, yaw: 0, ease: linear }, { at: 4, yaw: 40 }]';
    const turn = (more: string) => summarise(sceneOf(more, keyframes)).outputs[0]!.fastestTurn;
    expect(turn('').degreesPerSecond).toBeCloseTo(10, 9);
    const ramp = 'timing: [{ at: 0, shows: 0 }, { at: 6, shows: 1 }, { at: 8, shows: 4 }]';
    expect(turn(ramp).degreesPerSecond).toBeCloseTo(15, 9);
    expect(turn(ramp).at).toBeCloseTo(6, 9);
  });
});
