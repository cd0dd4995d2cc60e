import { describe, expect, it } from 'vitest';
import { resolveCamera } from '../../src/camera/resolve.js';
import { motions } from '../../src/comfort/motion.js';
import { segments } from '../../src/comfort/segments.js';
import type { Ease, Keyframe } from '../../src/scene/types.js';
import { buildTimeline } from '../../src/timeline/sample.js';

const linear: Ease = { kind: 'linear' };

function moving(keyframes: readonly Partial<Keyframe>[], width = 100, height = 100) {
  const timeline = buildTimeline(
    keyframes.map((keyframe, index) => ({
      at: 0,
      ease: linear,
      turn: 'as-written' as const,
      path: `keyframes[${index}]`,
      ...keyframe,
    })),
  );
  const cameraAt = (seconds: number) => resolveCamera(timeline.at(seconds), width, height);
  return { cameraAt, fps: 25, width, height };
}

describe('turning', () => {
  it('is told in degrees per second, about any axis', () => {
    for (const axis of ['yaw', 'pitch', 'roll'] as const) {
      const turn = moving([
        { at: 0, [axis]: 0 },
        { at: 2, [axis]: 80 },
      ]);
      for (const { turning } of motions(turn, 0, 50)) expect(turning).toBeCloseTo(40, 6);
    }
  });

  it('over the nadir yaw turns the picture about its middle, no less than elsewhere', () => {
    const planet = moving([
      { at: 0, yaw: 0, pitch: -90, fov: 250, projection: { name: 'stereographic', params: {} } },
      { at: 1, yaw: 90 },
    ]);
    expect(motions(planet, 3, 4)[0]?.turning).toBeCloseTo(90, 6);
  });
});

describe('zooming', () => {
  it('counts doublings: tan(45 deg) to half of it in a second is one', () => {
    const half = (2 * Math.atan(0.5) * 180) / Math.PI;
    const zoom = moving([
      { at: 0, fov: 90 },
      { at: 1, fov: half },
    ]);
    const sum = motions(zoom, 0, 25).reduce((total, { zooming }) => total + zooming / 25, 0);
    expect(sum).toBeCloseTo(1, 6);
  });

  it('is negative on the way out, and nothing when only the view turns', () => {
    const out = moving([
      { at: 0, fov: 60, yaw: 0 },
      { at: 1, fov: 90, yaw: 0 },
      { at: 2, yaw: 50 },
    ]);
    expect(motions(out, 10, 11)[0]?.zooming).toBeLessThan(-0.5);
    expect(motions(out, 35, 36)[0]?.zooming).toBeCloseTo(0, 9);
  });

  it('counts by the middle of the picture, in every projection: a ball of radius sin(theta / 2)', () => {
    const ball = { name: 'mirror-ball', params: {} };
    // The plane's half extent is sin(fov / 4): 1 at 360 degrees, 1/2 at 120.
    const zoom = moving([
      { at: 0, fov: 360, projection: ball },
      { at: 1, fov: 120, projection: ball },
    ]);
    const sum = motions(zoom, 0, 25).reduce((total, { zooming }) => total + zooming / 25, 0);
    expect(sum).toBeCloseTo(1, 6);
  });
});

describe('segments', () => {
  it('have their peaks, each between two keyframes', () => {
    const turn = moving([{ at: 0, yaw: 0 }, { at: 1, yaw: 10 }, { at: 3, yaw: 110 }, { at: 3.5 }]);
    const keyframes = [0, 1, 3, 3.5].map((at, index) => ({ path: `keyframes[${index}]`, at }));
    const found = segments(turn, keyframes, 4);
    expect(found.map(({ path, from, to }) => [path, from, to])).toEqual([
      ['keyframes[0]', 0, 1],
      ['keyframes[1]', 1, 3],
      ['keyframes[2]', 3, 3.5],
      ['keyframes[3]', 3.5, 4],
    ]);
    expect(found.map(({ turning }) => Math.round(1e6 * turning.speed) / 1e6)).toEqual([
      10, 50, 0, 0,
    ]);
  });

  it('take a jump in one frame for a cut, and a turn over a few frames for what it is', () => {
    const jump = moving([
      { at: 0, yaw: 0, ease: { kind: 'hold' } },
      { at: 1, yaw: 90 },
    ]);
    const [first] = segments(jump, [{ path: 'keyframes[0]', at: 0 }], 2);
    expect(first?.turning.speed).toBe(0);
    const quick = moving([
      { at: 0, yaw: 0 },
      { at: 0.12, yaw: 90 },
    ]);
    const [second] = segments(quick, [{ path: 'keyframes[0]', at: 0 }], 2);
    expect(second?.turning.speed).toBeCloseTo(750, 6);
  });

  it('a keyframe at the very end begins none', () => {
    const still = moving([{ at: 0 }, { at: 2 }]);
    const places = [0, 2].map((at, index) => ({ path: `keyframes[${index}]`, at }));
    expect(segments(still, places, 2)).toHaveLength(1);
  });
});
