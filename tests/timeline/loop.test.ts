import { describe, expect, it } from 'vitest';
import { angleBetween } from '../../src/camera/orientation.js';
import { resolveCamera } from '../../src/camera/resolve.js';
import { shortestTurn } from '../../src/camera/spherical.js';
import type { Keyframe } from '../../src/scene/types.js';
import { turnedOn } from '../../src/timeline/laps.js';
import { buildTimeline } from '../../src/timeline/sample.js';
import { keyframes } from './keyframes.js';

type Fields = Partial<Keyframe> & { at: number };
const PERIOD = 8;
const FRAMES = 200;
const looped = (...list: Fields[]) => buildTimeline(keyframes(...list), { period: PERIOD });

/** From each frame to the next, the last to the first included: turned radians, and the zoom's ratio. */
function steps(list: readonly Fields[]) {
  const timeline = looped(...list);
  const view = (n: number) => {
    const sample = timeline.at(((n % FRAMES) / FRAMES) * PERIOD);
    const [x] = resolveCamera(sample, 9, 16).lenses[0].halfExtent;
    return { orientation: sample.orientation, zoom: Math.log(x) };
  };
  return Array.from({ length: FRAMES }, (_, n) => {
    const [now, next] = [view(n), view(n + 1)];
    return {
      turned: angleBetween(now.orientation, next.orientation),
      zoomed: Math.abs(next.zoom - now.zoom),
    };
  });
}

const TOUR: readonly Fields[] = [
  { at: 0, yaw: 0, pitch: -10, roll: 0, fov: 70 },
  { at: 2, yaw: 50, pitch: 15, roll: 8, fov: 90 },
  { at: 5, yaw: 10, pitch: -5, roll: 0, fov: 60 },
];

const WAYS: readonly (readonly [string, Partial<Keyframe>])[] = [
  ['eased', {}],
  ['smooth', { smooth: true }],
  ['eased on the sphere', { turn: 'shortest' }],
  ['smooth on the sphere', { turn: 'shortest', smooth: true }],
  ['evenly', { smooth: true, even: true }],
  ['evenly on the sphere', { turn: 'shortest', smooth: true, even: true }],
];

describe.each(WAYS)('a loop, %s', (_, way) => {
  const list = TOUR.map((fields) => ({ ...fields, ...way }));

  it('goes from the last frame to the first as from frame to frame around', () => {
    const all = steps(list);
    for (const key of ['turned', 'zoomed'] as const) {
      const around = [...all.slice(-6, -1), ...all.slice(0, 5)].map((step) => step[key]);
      expect(all.at(-1)![key]).toBeLessThanOrEqual(Math.max(...around) * (1 + 1e-6));
    }
    expect(all.at(-1)!.turned).toBeGreaterThan(1e-6);
  });

  it('meets its keyframes, lap after lap', () => {
    if (way.even) return;
    const { at } = looped(...list);
    const once = buildTimeline(keyframes(...TOUR));
    for (const { at: t } of TOUR) {
      for (const lap of [-1, 0, 1, 5]) {
        const off = angleBetween(at(t + lap * PERIOD).orientation, once.at(t).orientation);
        expect(off).toBeLessThan(1e-9);
      }
    }
  });
});

describe('a smooth loop', () => {
  it('is as smooth where it closes as elsewhere, and knows no first keyframe', () => {
    for (const turn of ['as-written', 'shortest'] as const) {
      const list = TOUR.map((fields) => ({ ...fields, smooth: true, turn }));
      const { at } = looped(...list);
      const speed = (t: number, step: number) =>
        shortestTurn(at(t).orientation, at(t + step).orientation).map((x) => x / step);
      for (const t of [0, PERIOD]) {
        const [left, right] = [speed(t, -1e-5), speed(t, 1e-5)];
        expect(Math.hypot(...left.map((x, axis) => x - right[axis]!))).toBeLessThan(1e-3);
      }
      // The same tour, begun 3 s earlier.
      const later = looped(
        ...list.map((f) => ({ ...f, at: (f.at + 3) % PERIOD })).sort((a, b) => a.at - b.at),
      ).at;
      for (let t = 0; t < PERIOD; t += 0.1) {
        expect(angleBetween(at(t).orientation, later(t + 3).orientation)).toBeLessThan(1e-9);
      }
    }
  });

  it('turns at one speed all round with pace: even', () => {
    for (const turn of ['as-written', 'shortest'] as const) {
      const { at } = looped(...TOUR.map((f) => ({ ...f, smooth: true, even: true, turn })));
      const speeds = Array.from({ length: 160 }, (_, n) => {
        const t = (n * PERIOD) / 160;
        return angleBetween(at(t).orientation, at(t + 1e-4).orientation);
      });
      expect(Math.max(...speeds) / Math.min(...speeds)).toBeLessThan(1.01);
    }
  });
});

describe('whole turns in a loop', () => {
  it('go on: from -180 at the start to 180 at the end', () => {
    const all = steps([
      { at: 0, yaw: -180 },
      { at: 8, yaw: 180 },
    ]);
    for (const { turned } of all) expect(turned).toBeCloseTo((2 * Math.PI) / FRAMES, 9);
  });

  it('go on where the last keyframe lies before the end', () => {
    const all = steps([
      { at: 0, yaw: 0 },
      { at: 6, yaw: 540 },
    ]);
    for (const { turned } of all) expect(turned).toBeCloseTo((4 * Math.PI) / FRAMES, 9);
  });

  it('are counted to the nearest angle that is the first again; from just opposite, onward', () => {
    const closing = (last: number) => turnedOn(0, 1, 0, last);
    expect([90, 179, 180, 181, 300, 540].map(closing)).toEqual([0, 0, 360, 360, 360, 720]);
    expect([-90, -180, -300].map(closing)).toEqual([0, -360, -360]);
  });
});

describe('a channel of a loop', () => {
  it('stays where it has one keyframe, and leads back over the end where it has two', () => {
    const { angles, at } = looped({ at: 2, pitch: 7, fov: 60 }, { at: 6, fov: 80 });
    expect([0, 2, 7.9].map((t) => angles(t).pitch)).toEqual([7, 7, 7]);
    expect(at(7)).toMatchObject({ fov: { from: { degrees: 80 }, to: { degrees: 60 }, mix: 0.25 } });
    expect(at(1)).toMatchObject({ fov: { from: { degrees: 80 }, to: { degrees: 60 }, mix: 0.75 } });
  });

  it('takes a keyframe at the very end for one at the start', () => {
    const { angles } = looped({ at: 4, pitch: 40 }, { at: 8, pitch: 0 });
    expect([0, 2, 4, 6].map((t) => angles(t).pitch)).toEqual([0, 20, 40, 20]);
  });

  it('morphs back to the first projection', () => {
    const projection = (name: string) => ({ projection: { name, params: {} } });
    const { at } = looped(
      { at: 0, ...projection('stereographic') },
      { at: 4, ...projection('rectilinear') },
    );
    expect(at(6).projection).toMatchObject({
      from: { name: 'rectilinear' },
      to: { name: 'stereographic' },
      mix: 0.5,
    });
  });
});
