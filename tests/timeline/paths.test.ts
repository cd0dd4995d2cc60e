import { describe, expect, it } from 'vitest';
import { angleBetween, anglesOf, orientationOf } from '../../src/camera/orientation.js';
import { resolveCamera } from '../../src/camera/resolve.js';
import { shortestTurn, turned } from '../../src/camera/spherical.js';
import type { Orientation } from '../../src/camera/types.js';
import { parseEase } from '../../src/scene/ease.js';
import type { Keyframe } from '../../src/scene/types.js';
import { buildTimeline } from '../../src/timeline/sample.js';
import { keyframes } from './keyframes.js';

type Fields = Partial<Keyframe> & { at: number };
const smooth = (...list: Fields[]) => keyframes(...list.map((f) => ({ smooth: true, ...f })));
const curved = (...list: Fields[]) =>
  smooth(...list.map((f) => ({ turn: 'shortest' as const, ...f })));

/** Turning speed, in radians per second, in the camera's directions, from `t` to `t + step`. */
function speedAt(at: (seconds: number) => { orientation: Orientation }, t: number, step: number) {
  return shortestTurn(at(t).orientation, at(t + step).orientation).map((x) => x / step);
}

const apart = (a: readonly number[], b: readonly number[]) =>
  Math.hypot(...a.map((x, index) => x - b[index]!));

describe('path: smooth', () => {
  const list = smooth(
    { at: 0, yaw: 0, pitch: 0 },
    { at: 2, yaw: 30, pitch: 20 },
    { at: 3, yaw: 90, pitch: 10 },
    { at: 6, yaw: 120, pitch: 10 },
  );
  const { angles } = buildTimeline(list);
  const rate = (t: number, step: number) => (angles(t + step).yaw - angles(t).yaw) / step;

  it('runs yaw through its keyframes without a halt, from rest to rest', () => {
    for (const { at, yaw } of list) expect(angles(at).yaw).toBe(yaw);
    expect(rate(0, 1e-6)).toBeCloseTo(0, 3);
    expect(rate(6, -1e-6)).toBeCloseTo(0, 3);
    // The parabola through three stops: secants 15 and 60 over 2 s and 1 s, weighed 1 to 2.
    expect(rate(2, 1e-6)).toBeCloseTo(45, 2);
    expect(rate(2, -1e-6)).toBeCloseTo(45, 2);
  });

  it('does not overshoot: pitch turns back at its highest and stays on its level', () => {
    for (let t = 0; t <= 6; t += 0.01) {
      expect(angles(t).pitch).toBeLessThanOrEqual(20);
      if (t > 3) expect(angles(t).pitch).toBe(10);
    }
  });

  it('zooms through a keyframe without a jump of the ratio per second', () => {
    const frame = { width: 1920, height: 1080 };
    const projection = { name: 'stereographic', params: {} };
    const timeline = buildTimeline(
      smooth(
        { at: 0, fov: 280, projection },
        { at: 2, fov: 200 },
        { at: 3, fov: 90 },
        { at: 5, fov: 50 },
      ),
      { frame },
    );
    const zoom = (t: number) =>
      Math.log(resolveCamera(timeline.at(t), 1920, 1080).lenses[0].halfExtent[0]);
    for (const t of [2, 3]) {
      const [left, right] = [(zoom(t) - zoom(t - 1e-5)) / 1e-5, (zoom(t + 1e-5) - zoom(t)) / 1e-5];
      expect(left).toBeLessThan(-0.1);
      expect(right / left).toBeCloseTo(1, 3);
    }
    for (let t = 0; t < 4.94; t += 0.05) expect(zoom(t + 0.05)).toBeLessThan(zoom(t));
  });

  it('runs through morphs that go on, and rests at one that goes back', () => {
    const timeline = (...names: string[]) =>
      buildTimeline(smooth(...names.map((name, at) => ({ at, projection: { name, params: {} } }))));
    const rate = (names: string[], t: number) =>
      timeline(...names).at(t + 1e-6).projection.mix / 1e-6;
    expect(rate(['stereographic', 'equidistant', 'rectilinear'], 1)).toBeCloseTo(1, 3);
    expect(rate(['stereographic', 'equidistant', 'stereographic'], 1)).toBeCloseTo(0, 3);
    expect(rate(['stereographic', 'stereographic', 'rectilinear'], 1)).toBeCloseTo(0, 3);
  });

  it('runs a parameter through its keyframes', () => {
    const { at } = buildTimeline(
      smooth(
        ...[0, 0.2, 1].map((distance, at) => ({
          at,
          projection: { name: 'panini', params: { distance } },
        })),
      ),
    );
    // Secants 0.2 and 0.8 a second: 0.5 on either side of the second keyframe.
    expect((0.2 * (1 - at(1 - 1e-6).projection.mix)) / 1e-6).toBeCloseTo(0.5, 3);
    expect((0.8 * at(1 + 1e-6).projection.mix) / 1e-6).toBeCloseTo(0.5, 3);
  });
});

describe('turn: shortest on a smooth path', () => {
  const fields: Fields[] = [
    { at: 0, yaw: 170, pitch: -60, roll: 10 },
    { at: 1, yaw: -120, pitch: 10, roll: 0 },
    { at: 3, yaw: -60, pitch: 70, roll: -40 },
    { at: 3.5, yaw: -20, pitch: 20, roll: 0 },
    { at: 5, yaw: 60, pitch: -30, roll: 15 },
  ];
  const list = curved(...fields);
  const { at } = buildTimeline(list);

  it('meets its keyframes', () => {
    const { angles } = buildTimeline(keyframes(...fields));
    for (const { at: t } of fields) {
      const { yaw, pitch, roll } = angles(t);
      expect(angleBetween(at(t).orientation, orientationOf(yaw, pitch, roll))).toBeLessThan(1e-12);
      if (t === 0) continue;
      expect(angleBetween(at(t - 1e-9).orientation, at(t).orientation)).toBeLessThan(1e-7);
    }
  });

  it('has a continuous angular velocity, also at its keyframes, and rests at its ends', () => {
    for (const t of [1, 3, 3.5]) {
      const [left, right] = [speedAt(at, t, -1e-5), speedAt(at, t, 1e-5)];
      expect(Math.hypot(...left)).toBeGreaterThan(0.3);
      expect(apart(left, right)).toBeLessThan(1e-3);
    }
    expect(Math.hypot(...speedAt(at, 0, 1e-5))).toBeLessThan(1e-3);
    expect(Math.hypot(...speedAt(at, 5, -1e-5))).toBeLessThan(1e-3);
    let before = speedAt(at, 0, 1e-4);
    for (let t = 0.002; t < 4.99; t += 0.002) {
      const now = speedAt(at, t, 1e-4);
      expect(apart(now, before)).toBeLessThan(0.05);
      before = now;
    }
  });

  it('is monotone cubic about one axis', () => {
    const yaws = [0, 10, 70, 75, 40].map((yaw, at) => ({ at: at + (at > 2 ? 1 : 0), yaw }));
    const asTurn = buildTimeline(curved(...yaws)).at;
    const asAngle = buildTimeline(smooth(...yaws)).at;
    for (let t = 0; t <= 5; t += 0.05) {
      expect(angleBetween(asTurn(t).orientation, asAngle(t).orientation)).toBeLessThan(1e-9);
    }
  });

  it('turns with the whole path: another frame of reference makes the same moves', () => {
    // All keyframes turned by one rotation beforehand, written as angles again.
    const rotation = orientationOf(40, 25, -70);
    const whole = shortestTurn([0, 0, 0, 1], rotation);
    const { angles } = buildTimeline(keyframes(...fields));
    const other = curved(
      ...fields.map(({ at: t }) => {
        const { yaw, pitch, roll } = angles(t);
        const own = shortestTurn([0, 0, 0, 1], orientationOf(yaw, pitch, roll));
        return { at: t, ...anglesOf(turned(rotation, own)) };
      }),
    );
    expect(Math.hypot(...whole)).toBeGreaterThan(1);
    const there = buildTimeline(other).at;
    for (let t = 0; t <= 5; t += 0.05) {
      const own = shortestTurn([0, 0, 0, 1], at(t).orientation);
      expect(angleBetween(there(t).orientation, turned(rotation, own))).toBeLessThan(1e-9);
    }
  });

  it('takes over the speed of an eased or a written stretch beside it', () => {
    for (const turn of ['shortest', 'as-written'] as const) {
      const { at } = buildTimeline(
        keyframes(
          { at: 0, yaw: 0, pitch: 10, turn },
          { at: 1, yaw: 50, pitch: 40, turn: 'shortest', smooth: true },
          { at: 3, yaw: 140, pitch: 0, turn },
          { at: 4, yaw: 150, pitch: -60 },
        ),
      );
      for (const t of [1, 3]) {
        expect(apart(speedAt(at, t, -1e-5), speedAt(at, t, 1e-5))).toBeLessThan(2e-3);
      }
    }
  });

  it('stands still between equal keyframes, and begins a way back at rest', () => {
    const { at } = buildTimeline(
      curved({ at: 0, yaw: 0 }, { at: 1, yaw: 60 }, { at: 2, yaw: 60 }, { at: 3, yaw: 0 }),
    );
    expect(angleBetween(at(1).orientation, at(1.5).orientation)).toBeLessThan(1e-12);
    const back = buildTimeline(
      curved({ at: 0, yaw: 0 }, { at: 1, yaw: 60 }, { at: 3, yaw: 10 }),
    ).at;
    expect(Math.hypot(...speedAt(back, 1, 1e-5))).toBeLessThan(1e-3);
  });
});

describe('pace: even', () => {
  // Short steps: across a corner of the way the chord is shorter than the way.
  const steps = (at: (t: number) => { orientation: Orientation }, from: number, to: number) =>
    Array.from({ length: 200 }, (_, index) => {
      const t = from + ((to - from) * index) / 200;
      return angleBetween(at(t).orientation, at(t + 1e-4).orientation);
    });
  const spread = (list: readonly number[]) => Math.max(...list) / Math.min(...list) - 1;
  const ways: Fields[] = [
    { at: 0, yaw: 0, pitch: -80 },
    { at: 1, yaw: 20, pitch: -60 },
    { at: 3, yaw: 100, pitch: 20, roll: 20 },
    { at: 3.5, yaw: 180, pitch: 30 },
    { at: 8, yaw: 200, pitch: 0, roll: 0 },
  ];

  it.each([
    { way: 'eased as written', make: keyframes },
    { way: 'smooth', make: smooth },
    { way: 'smooth on the sphere', make: curved },
  ])('turns at one speed to 1 %, $way', ({ make }) => {
    const uneven = buildTimeline(make(...ways));
    expect(spread(steps(uneven.at, 0, 8))).toBeGreaterThan(1);
    const even = buildTimeline(make(...ways.map((f) => ({ ...f, even: true }))));
    expect(spread(steps(even.at, 0, 8))).toBeLessThan(0.01);
    for (const t of [0, 8]) {
      expect(angleBetween(even.at(t).orientation, uneven.at(t).orientation)).toBeLessThan(1e-7);
    }
  });

  it('evens out an easing too, and leaves fov and projection alone', () => {
    const ease = parseEase('ease-in-out')!;
    const list = keyframes(
      { at: 0, yaw: 0, fov: 50, ease, even: true },
      { at: 4, yaw: 90, fov: 90 },
    );
    const { at, angles } = buildTimeline(list);
    expect(spread(steps(at, 0, 4))).toBeLessThan(0.01);
    expect(angles(1).yaw).toBeCloseTo(22.5, 3);
    expect(at(1).fov.mix).toBeCloseTo(0.129162, 6);
  });

  it('goes along the same way as without', () => {
    const even = buildTimeline(curved(...ways.map((f) => ({ ...f, even: true })))).at;
    const keyed = buildTimeline(curved(...ways)).at;
    const places = Array.from({ length: 801 }, (_, n) => keyed(n / 100).orientation);
    for (let t = 0; t < 8; t += 0.25) {
      const off = Math.min(...places.map((place) => angleBetween(place, even(t).orientation)));
      expect(off).toBeLessThan(0.02);
    }
  });

  it('holds for a run of keyframes, each end of it at its own time', () => {
    const list = keyframes(
      { at: 0, yaw: 0 },
      { at: 1, yaw: 10, even: true },
      { at: 2, yaw: 20, even: true },
      { at: 4, yaw: 100 },
      { at: 5, yaw: 200 },
    );
    const { angles } = buildTimeline(list);
    expect([0.5, 1, 2, 3, 4, 4.5].map((t) => Number(angles(t).yaw.toFixed(4)))).toEqual([
      5, 10, 40, 70, 100, 150,
    ]);
  });
});
