import { describe, expect, it } from 'vitest';
import { axisOf } from '../../src/camera/framing.js';
import { resolveCamera } from '../../src/camera/resolve.js';
import type { Camera, FieldOfView, ViewSample } from '../../src/camera/types.js';
import { degrees } from '../../src/math.js';
import { blendRays } from '../../src/projection/blend.js';
import { findLens, projectionNames } from '../../src/projection/index.js';
import type { ProjectionParams, Ray } from '../../src/projection/types.js';
import type { FovSide } from '../../src/scene/types.js';
import { angleBetween } from '../projection/support.js';

interface End {
  readonly name: string;
  readonly params?: ProjectionParams;
  readonly fov: FieldOfView;
}

/** A camera on the way from one keyframe to the next; the fov may be elsewhere on its way. */
function cameraAt(
  from: End,
  to: End,
  share: number,
  [width, height]: readonly [number, number],
  fovShare = share,
): Camera {
  const end = ({ name, params = {}, fov }: End) => ({ name, params, fov: still(fov) });
  const sample: ViewSample = {
    orientation: [0, 0, 0, 1],
    fov: { from: from.fov, to: to.fov, mix: fovShare },
    projection: { from: end(from), to: end(to), mix: share },
  };
  return resolveCamera(sample, width, height);
}

const still = <T>(value: T) => ({ from: value, to: value, mix: 0 });
const pure = (end: End, size: readonly [number, number]) => cameraAt(end, end, 0, size);

const GRID = Array.from({ length: 25 }, (_, index) => [
  (index % 5) / 2 - 1,
  Math.floor(index / 5) / 2 - 1,
]) as [number, number][];

function raysOf({ lenses, mix }: Camera): Ray[] {
  return GRID.map(([x, y]) => {
    const [start, end] = lenses.map((lens) =>
      findLens(lens.projection).toRay(
        [x * lens.halfExtent[0], y * lens.halfExtent[1]],
        lens.params,
      ),
    );
    return end === undefined ? start!.ray : blendRays(start!, end, mix).ray;
  });
}

/** The largest turn of any of the grid's rays from one of `steps` to the next, in degrees. */
function largestTurn(steps: number, at: (share: number) => Camera): number {
  let previous: Ray[] | undefined;
  let largest = 0;
  for (let step = 0; step <= steps; step++) {
    const rays = raysOf(at(step / steps));
    rays.forEach((ray, index) => {
      if (previous) largest = Math.max(largest, angleBetween(ray, previous[index]!));
    });
    previous = rays;
  }
  // Not a number anywhere makes the largest one, too.
  return degrees(largest);
}

const PORTRAIT = [1080, 1920] as const;
const LANDSCAPE = [1920, 1080] as const;

/** 240 steps are 8 s at 30 frames a second. The bound is common sense, no source. */
const BOUND = 13;

const pairs = projectionNames.flatMap((from) =>
  projectionNames.filter((to) => to !== from).map((to) => [from, to] as const),
);

const limitOf = (name: string, [width, height]: readonly [number, number]) =>
  degrees(findLens(name).fovLimit(axisOf('shorter', width, height), {}).max);

const endAt = (name: string, part: number, size: readonly [number, number]): End => ({
  name,
  fov: { degrees: part * limitOf(name, size), side: 'shorter' },
});

describe.each(pairs)('%s to %s', (from, to) => {
  // Parts of each projection's own range: narrow to wide and back, wide to wide.
  it.each([
    [0.3, 0.97, PORTRAIT],
    [0.97, 0.3, LANDSCAPE],
    [0.97, 0.97, LANDSCAPE],
  ] as const)(
    'turns no ray by more than 13 degrees in 1/240 of the way, %f to %f',
    (a, b, size) => {
      const [start, end] = [endAt(from, a, size), endAt(to, b, size)];
      const at = (share: number) => cameraAt(start, end, share, size);
      const coarse = largestTurn(240, at);
      expect(coarse).toBeLessThan(BOUND);
      if (size === PORTRAIT) return;
      // A jump would stay as it is, however fine the steps. Where a rim passes a point, the turn shrinks
      // with the root of the step only (2 asin r at r = 1), and the largest of the coarse steps may
      // be down to 1 / sqrt(3) of what it would be at its worst place: 1 / 3 / 0.577 < 0.6.
      expect(largestTurn(9 * 240, at)).toBeLessThan(0.6 * coarse + 0.01);
    },
  );

  it('begins and ends with the pure projections, to the bit', () => {
    for (const size of [PORTRAIT, LANDSCAPE]) {
      for (const [a, b] of [
        [0.3, 0.97],
        [0.999, 0.999],
      ] as const) {
        const [start, end] = [endAt(from, a, size), endAt(to, b, size)];
        expect(cameraAt(start, end, 0, size)).toEqual(pure(start, size));
        expect(cameraAt(start, end, 1, size)).toEqual(pure(end, size));
        expect(pure(end, size).lenses[0].projection).toBe(to);
      }
    }
  });
});

// Eased apart: the fov takes an eighth of the time, so eight times the steps make its steps as small.
describe('a fov that runs ahead, lags, overshoots or goes on while the projection is held', () => {
  const some = pairs.filter(
    ([from, to], index) => index % 4 === 1 || (from === 'rectilinear' && to === 'stereographic'),
  );

  it.each(some)('%s to %s', (from, to) => {
    const [start, end] = [endAt(from, 0.3, PORTRAIT), endAt(to, 0.97, PORTRAIT)];
    const at = (way: (share: number) => number) => (share: number) =>
      cameraAt(start, end, share, PORTRAIT, way(share));
    const ahead = at((share) => Math.min(1, 8 * share));
    const behind = at((share) => Math.max(0, 8 * share - 7));
    const over = at((share) => share + 0.4 * Math.sin(2 * Math.PI * share));
    const held = (share: number) => cameraAt(start, end, 0, PORTRAIT, share);
    expect(largestTurn(1920, ahead)).toBeLessThan(BOUND);
    expect(largestTurn(1920, behind)).toBeLessThan(BOUND);
    expect(largestTurn(960, over)).toBeLessThan(BOUND);
    expect(largestTurn(240, held)).toBeLessThan(BOUND);
  });
});

const wide = (name: string, degrees: number, side: FovSide = 'shorter'): End => ({
  name,
  fov: { degrees, side },
});

describe('extreme morphs', () => {
  it.each([
    ['rectilinear', 170, 'stereographic', 340],
    ['rectilinear', 60, 'stereographic', 359],
    ['rectilinear', 60, 'mirror-ball', 360],
    ['rectilinear', 179, 'mirror-ball', 360],
    ['stereographic', 350, 'mirror-ball', 360],
    ['orthographic', 180, 'equidistant', 360],
  ])('%s %d to %s %d', (from, a, to, b) => {
    const [start, end] = [wide(from, a), wide(to, b)];
    for (const size of [PORTRAIT, LANDSCAPE]) {
      expect(largestTurn(240, (share) => cameraAt(start, end, share, size))).toBeLessThan(BOUND);
      expect(largestTurn(240, (share) => cameraAt(end, start, share, size))).toBeLessThan(BOUND);
      expect(cameraAt(start, end, 0, size)).toEqual(pure(start, size));
      expect(cameraAt(start, end, 1, size)).toEqual(pure(end, size));
    }
  });
});

describe('rectilinear to stereographic', () => {
  const [start, end] = [wide('rectilinear', 80), wide('stereographic', 280)];

  it('is one lens of the general perspective, its distance coupled to the fov', () => {
    // Half way: tan(h / 2) is the geometric mean of tan(20) and tan(70), 1: h = 90 degrees, so d may start from 0: d = 0.5, r = (d + 1) sin h / (d + cos h) = 3.
    const half = cameraAt(start, end, 0.5, PORTRAIT);
    expect(half.lenses).toHaveLength(1);
    expect(half.lenses[0].projection).toBe('perspective');
    expect(half.lenses[0].params.distance).toBeCloseTo(0.5, 14);
    expect(half.lenses[0].halfExtent[0]).toBeCloseTo(3, 12);
    // At three quarters tan(h / 2) is tan(20)^(1/4) tan(70)^(3/4) (even zooming), d 3/4 on from -cos h.
    const tan = Math.tan(Math.PI / 9) ** 0.25 * Math.tan((7 * Math.PI) / 18) ** 0.75;
    const h = 2 * Math.atan(tan);
    const d = (3 - Math.cos(h)) / 4;
    const late = cameraAt(start, end, 0.75, PORTRAIT);
    expect(late.lenses[0].params.distance).toBeCloseTo(d, 12);
    expect(late.lenses[0].halfExtent[0]).toBeCloseTo(
      ((d + 1) * Math.sin(h)) / (d + Math.cos(h)),
      12,
    );
  });

  it('goes the same way back', () => {
    for (const share of [0.1, 0.5, 0.75, 0.9]) {
      const [there, back] = [
        cameraAt(start, end, share, LANDSCAPE),
        cameraAt(end, start, 1 - share, LANDSCAPE),
      ];
      expect(back.lenses[0].halfExtent[0]).toBeCloseTo(there.lenses[0].halfExtent[0], 10);
      expect(back.lenses[0].params.distance).toBeCloseTo(there.lenses[0].params.distance!, 12);
    }
  });
});

describe('one projection', () => {
  it('takes any fov of its range between its keyframes', () => {
    const end = wide('rectilinear', 60);
    const sample: ViewSample = {
      orientation: [0, 0, 0, 1],
      fov: still({ degrees: 170, side: 'horizontal' }),
      projection: { ...still({ name: 'rectilinear', params: {}, fov: still(end.fov) }), mix: 0.5 },
    };
    const [lens] = resolveCamera(sample, 1920, 1080).lenses;
    expect(lens.halfExtent[0]).toBeCloseTo(Math.tan((85 * Math.PI) / 180), 10);
  });

  it('mixes plane scales geometrically, along one side or two', () => {
    const fovs = (from: FieldOfView, to: FieldOfView) =>
      cameraAt(
        { name: 'rectilinear', fov: from },
        { name: 'rectilinear', fov: to },
        0.5,
        LANDSCAPE,
      );
    const same = fovs({ degrees: 40, side: 'shorter' }, { degrees: 80, side: 'vertical' });
    expect(same.lenses[0].halfExtent[1]).toBeCloseTo(
      Math.sqrt(Math.tan(Math.PI / 9) * Math.tan((2 * Math.PI) / 9)),
      14,
    );
    // 90 degrees across is a half width of 1; 90 degrees high one of 16 / 9.
    const two = fovs({ degrees: 90, side: 'horizontal' }, { degrees: 90, side: 'vertical' });
    expect(two.lenses[0].halfExtent[0]).toBeCloseTo(4 / 3, 14);
    expect(two.lenses[0].halfExtent[1]).toBeCloseTo(3 / 4, 14);
  });

  it.each([
    ['panini', { distance: 0 }, 170, { distance: 1 }, 350],
    ['panini', { distance: 1 }, 300, { distance: 0.2 }, 60],
  ])('%s moves its parameter: %o %d to %o %d', (name, a, fovA, b, fovB) => {
    const start: End = { name, params: a, fov: { degrees: fovA, side: 'horizontal' } };
    const end: End = { name, params: b, fov: { degrees: fovB, side: 'horizontal' } };
    const at = (share: number) => cameraAt(start, end, share, PORTRAIT);
    expect(at(0.5).lenses).toHaveLength(1);
    expect(at(0.5).lenses[0].params.distance).toBeCloseTo((a.distance + b.distance) / 2, 14);
    expect(largestTurn(240, at)).toBeLessThan(BOUND);
    expect(at(0)).toEqual(pure(start, PORTRAIT));
    expect(at(1)).toEqual(pure(end, PORTRAIT));
  });

  it('ends an overshoot at the range', () => {
    const [a, b] = [wide('rectilinear', 10), wide('rectilinear', 150)];
    for (const over of [-0.5, 1.5]) {
      const [lens] = cameraAt(a, b, over, PORTRAIT, over).lenses;
      expect(lens.halfExtent.every((half) => half > 0 && Number.isFinite(half))).toBe(true);
    }
  });
});

describe('sides that change on the way', () => {
  it.each(pairs.filter((_, index) => index % 7 === 0))('%s to %s', (from, to) => {
    const [start, end] = [wide(from, 60, 'diagonal'), wide(to, 170, 'horizontal')];
    const at = (share: number) => cameraAt(start, end, share, LANDSCAPE);
    expect(largestTurn(240, at)).toBeLessThan(BOUND);
    expect(at(0)).toEqual(pure(start, LANDSCAPE));
    expect(at(1)).toEqual(pure(end, LANDSCAPE));
  });
});
