import { describe, expect, it } from 'vitest';
import { angleBetween, orientationOf, rotationMatrix } from '../../src/camera/orientation.js';
import type { Orientation } from '../../src/camera/types.js';
import { parseEase } from '../../src/scene/ease.js';
import { buildTimeline } from '../../src/timeline/sample.js';
import { keyframes } from './keyframes.js';

/** Where the camera looks, and where its top points. */
const directions = (orientation: Orientation) => {
  const m = rotationMatrix(orientation);
  return { ahead: m.slice(6, 9).map((x) => -x), up: m.slice(3, 6) };
};

const near = (found: readonly number[], wanted: readonly number[], digits = 12) => {
  for (const [index, value] of wanted.entries()) expect(found[index]).toBeCloseTo(value, digits);
};

describe('a timeline', () => {
  it('has a level rectilinear view of 90 degrees when nothing is set', () => {
    const { orientation, fov, projection } = buildTimeline(keyframes({ at: 0 })).at(3);
    expect(orientation).toEqual([0, 0, 0, 1]);
    expect(fov.from).toEqual({ degrees: 90, side: 'shorter' });
    expect(projection.from.name).toBe('rectilinear');
    expect([fov.mix, projection.mix]).toEqual([0, 0]);
  });

  it('goes evenly between two keyframes, and holds before the first and after the last', () => {
    const { angles } = buildTimeline(keyframes({ at: 2, yaw: 10 }, { at: 6, yaw: 50 }));
    expect([0, 2, 3, 5, 6, 9].map((t) => angles(t).yaw)).toEqual([10, 10, 20, 40, 50, 50]);
  });

  it('eases by the ease of the earlier keyframe', () => {
    const { angles } = buildTimeline(
      keyframes(
        { at: 0, yaw: 0, ease: parseEase('ease-in')! },
        { at: 1, yaw: 100, ease: parseEase('linear')! },
        { at: 2, yaw: 0 },
      ),
    );
    // CSS Easing Level 1: ease-in at 0.25 is 0.093465.
    expect(angles(0.25).yaw).toBeCloseTo(9.3465, 4);
    expect(angles(1.25).yaw).toBeCloseTo(75, 12);
  });

  it('holds, then jumps at the very time of the next keyframe', () => {
    const hold = { kind: 'hold' } as const;
    const timeline = buildTimeline(
      keyframes(
        { at: 0, yaw: 5, fov: 60, ease: hold, projection: { name: 'stereographic', params: {} } },
        { at: 2, yaw: 95, fov: 40, projection: { name: 'rectilinear', params: {} } },
      ),
    );
    expect(timeline.angles(1.999999).yaw).toBe(5);
    expect(timeline.angles(2).yaw).toBe(95);
    expect(timeline.at(1.999999)).toMatchObject({
      fov: { from: { degrees: 60 }, mix: 0 },
      projection: { from: { name: 'stereographic' }, mix: 0 },
    });
    expect(timeline.at(2)).toMatchObject({
      fov: { from: { degrees: 40 }, mix: 0 },
      projection: { from: { name: 'rectilinear' }, mix: 0 },
    });
  });

  it('goes through a keyframe that leaves a channel out', () => {
    const { angles, at } = buildTimeline(
      keyframes({ at: 0, yaw: 0, fov: 40 }, { at: 1, pitch: 30 }, { at: 4, yaw: 80, fov: 80 }),
    );
    expect(angles(1)).toEqual({ yaw: 20, pitch: 30, roll: 0 });
    expect(at(1).fov).toEqual({
      from: { degrees: 40, side: 'shorter' },
      to: { degrees: 80, side: 'shorter' },
      mix: 0.25,
    });
  });

  it('counts yaw on past 360: two turns are 720', () => {
    const timeline = buildTimeline(keyframes({ at: 0, yaw: 0 }, { at: 8, yaw: 720 }));
    expect(timeline.angles(6).yaw).toBe(540);
    near(directions(timeline.at(1).orientation).ahead, [1, 0, 0]);
    near(directions(timeline.at(2).orientation).ahead, [0, 0, 1]);
    near(directions(timeline.at(4).orientation).ahead, [0, 0, -1]);
  });

  it('turns roll first, then pitch, then yaw, with the signs of the conventions', () => {
    const looking = (yaw: number, pitch: number, roll: number) =>
      directions(buildTimeline(keyframes({ at: 0, yaw, pitch, roll })).at(0).orientation);
    near(looking(90, 0, 0).ahead, [1, 0, 0]);
    near(looking(0, 90, 0).ahead, [0, 1, 0]);
    near(looking(0, 0, 90).up, [1, 0, 0]);
    near(looking(90, -90, 0).ahead, [0, -1, 0]);
    near(looking(90, -90, 0).up, [1, 0, 0]);
  });

  it('tells each end of a morph with the field of view of its own time', () => {
    const { at } = buildTimeline(
      keyframes(
        { at: 0, fov: 300, projection: { name: 'stereographic', params: {} } },
        { at: 4, projection: { name: 'rectilinear', params: {} } },
        { at: 8, fov: 60 },
      ),
    );
    const { projection } = at(1);
    expect(projection.mix).toBe(0.25);
    expect(projection.from).toMatchObject({ name: 'stereographic', fov: { mix: 0 } });
    expect(projection.to).toMatchObject({
      name: 'rectilinear',
      fov: { from: { degrees: 300 }, to: { degrees: 60 }, mix: 0.5 },
    });
  });

  it('measures each fov along the side last named up to its keyframe', () => {
    const { at } = buildTimeline(
      keyframes(
        { at: 0, fov: 40 },
        { at: 1, fovSide: 'horizontal' },
        { at: 2, fov: 60 },
        { at: 3, fov: 70 },
      ),
    );
    expect(at(1).fov).toEqual({
      from: { degrees: 40, side: 'shorter' },
      to: { degrees: 60, side: 'horizontal' },
      mix: 0.5,
    });
    expect(at(3).fov.from).toEqual({ degrees: 70, side: 'horizontal' });
    expect(buildTimeline(keyframes({ at: 0, fovSide: 'vertical' })).at(0).fov.from).toEqual({
      degrees: 90,
      side: 'vertical',
    });
  });
});

describe('turn: shortest', () => {
  it('is a slerp: from straight ahead to 90 degrees about the vertical', () => {
    const { at } = buildTimeline(
      keyframes({ at: 0, yaw: 0, turn: 'shortest' }, { at: 4, yaw: -90 }),
    );
    // Shoemake, Animating Rotation with Quaternion Curves, SIGGRAPH 1985; values computed from it.
    near(at(1).orientation, [0, 0.19509, 0, 0.980785], 6);
    near(at(2).orientation, [0, 0.382683, 0, 0.92388], 6);
  });

  it('takes the near way round where the angles as written take the far one', () => {
    const list = keyframes({ at: 0, yaw: 10 }, { at: 2, yaw: 350 });
    near(directions(buildTimeline(list).at(1).orientation).ahead, [0, 0, 1]);
    const shortest = buildTimeline([{ ...list[0]!, turn: 'shortest' }, list[1]!]);
    near(directions(shortest.at(1).orientation).ahead, [0, 0, -1]);
  });

  it('turns at an even speed over the top', () => {
    const { at } = buildTimeline(
      keyframes({ at: 0, yaw: 0, pitch: 70, turn: 'shortest' }, { at: 10, yaw: 180, pitch: 70 }),
    );
    const whole = angleBetween(at(0).orientation, at(10).orientation);
    for (let second = 0; second < 10; second++) {
      const step = angleBetween(at(second).orientation, at(second + 1).orientation);
      expect(step).toBeCloseTo(whole / 10, 12);
    }
  });

  it('is eased, and reaches to the next keyframe that sets an angle', () => {
    const { at } = buildTimeline(
      keyframes(
        { at: 0, yaw: 0, turn: 'shortest', ease: parseEase('ease-in')! },
        { at: 1, fov: 50 },
        { at: 4, yaw: 100 },
        { at: 6, yaw: 0 },
      ),
    );
    const turned = (t: number) => angleBetween(at(t).orientation, orientationOf(0, 0, 0));
    // CSS Easing Level 1: ease-in at 0.25 is 0.093465.
    expect((turned(1) * 180) / Math.PI).toBeCloseTo(9.3465, 4);
    expect((turned(5) * 180) / Math.PI).toBeCloseTo(50, 9);
  });

  it('meets the keyframes themselves exactly', () => {
    const list = keyframes(
      { at: 0, yaw: 30, pitch: -90, roll: 10, turn: 'shortest' },
      { at: 3, yaw: -100, pitch: 45, roll: 5 },
    );
    const { at } = buildTimeline(list);
    expect(angleBetween(at(0).orientation, orientationOf(30, -90, 10))).toBeLessThan(1e-12);
    expect(at(3).orientation).toEqual(orientationOf(-100, 45, 5));
    expect(angleBetween(at(3 - 1e-9).orientation, at(3).orientation)).toBeLessThan(1e-8);
  });
});
