import { describe, expect, it } from 'vitest';
import {
  type Aim,
  aimAt,
  directionOf,
  landingAt,
  type Place,
  placeIn,
} from '../../src/camera/aim.js';
import { orientationOf } from '../../src/camera/orientation.js';
import { resolveCamera } from '../../src/camera/resolve.js';
import type { Camera, ProjectionEnd, ViewSample } from '../../src/camera/types.js';
import { findLens, projections } from '../../src/projection/index.js';
import type { Ray } from '../../src/projection/types.js';
import { shapes } from '../../src/scene/shapes.js';

/** As wide as each is used, along the frame's shorter side. */
const FOV: Readonly<Record<string, number>> = {
  rectilinear: 70,
  stereographic: 240,
  'mirror-ball': 360,
  equidistant: 180,
  'equal-area': 200,
  orthographic: 170,
  cylindrical: 100,
  panini: 120,
  equirectangular: 100,
};

interface View {
  readonly yaw?: number;
  readonly pitch?: number;
  readonly roll?: number;
  readonly to?: string;
  readonly mix?: number;
}

function cameraOf(
  projection: string,
  { width, height }: { width: number; height: number },
  { yaw = 0, pitch = 0, roll = 0, to = projection, mix = 0 }: View = {},
): Camera {
  const degrees = Math.min(FOV[projection]!, FOV[to]!);
  const fov = { degrees, side: 'shorter' } as const;
  const still = { from: fov, to: fov, mix: 0 };
  const end = (name: string): ProjectionEnd => ({ name, params: {}, fov: still });
  const sample: ViewSample = {
    orientation: orientationOf(yaw, pitch, roll),
    fov: still,
    projection: { from: end(projection), to: end(to), mix },
  };
  return resolveCamera(sample, width, height);
}

/** Where a direction shows, by the projection's own forward formula. */
function shown({ rotation: m, lenses: [lens] }: Camera, [x, y, z]: Ray): Place {
  const ray = [0, 3, 6].map((i) => m[i]! * x + m[i + 1]! * y + m[i + 2]! * z);
  const point = findLens(lens.projection).toPlane(ray as unknown as Ray, lens.params);
  if (point === 'outside') throw new Error('outside the picture');
  const [halfX, halfY] = lens.halfExtent;
  return [0.5 + point[0] / halfX / 2, 0.5 - point[1] / halfY / 2];
}

const PLACES: readonly Place[] = [
  [0.5, 0.5],
  [1 / 3, 1 / 3],
  [2 / 3, 0.5],
  [0.6, 0.7],
  [0.25, 0.4],
];
const MARKS = [
  [34, -4],
  [-170, 20],
  [120, -60],
] as const;

describe.each(projections.map(({ name }) => name))('aiming in %s', (name) => {
  it.each(shapes.map((shape) => [shape.name, shape] as const))(
    'puts a mark where it was asked for in a %s frame, to a millionth of its width',
    (_, shape) => {
      let aims = 0;
      for (const place of PLACES) {
        for (const [yaw, pitch] of MARKS) {
          for (const roll of [0, -25]) {
            const mark = directionOf(yaw, pitch);
            const aim = aimAt(mark, place, cameraOf(name, shape), { roll });
            if (typeof aim === 'string') continue;
            aims++;
            const [x, y] = shown(cameraOf(name, shape, { ...aim, roll }), mark);
            expect(Math.abs(x - place[0])).toBeLessThan(1e-6);
            expect((Math.abs(y - place[1]) * shape.height) / shape.width).toBeLessThan(1e-6);
          }
        }
      }
      // Of 30: round pictures end within the frame, and with a pitch of -60 some places are out of reach.
      expect(aims).toBeGreaterThanOrEqual(15);
    },
  );
});

const SQUARE = { width: 100, height: 100 };
/** Rectilinear, 90 degrees across: its edges lie 45 degrees off the axis. */
const lens = findLens('rectilinear');
const right = {
  lenses: [{ projection: lens.name, params: {}, halfExtent: [1, 1] }],
  mix: 0,
} as const;
const aimed = (aim: ReturnType<typeof aimAt>): Aim => {
  if (typeof aim === 'string') throw new Error(aim);
  return aim;
};

describe('aiming', () => {
  it.each([
    // By hand: tan 45 = 1.
    [[1, 0.5], 0, 0, -45, 0],
    [[0.5, 0], 0, 0, 0, -45],
    [[0.5, 1], 0, 0, 0, 45],
    // A third from the left is a third of the half width: atan(1/3) = 18.4349488.
    [[1 / 3, 0.5], 0, 0, 18.434948822922, 0],
    [[0.5, 0.5], 77, -33, 77, -33],
    // A mark low down, asked for at the top: the camera looks at the nadir.
    [[0.5, 0], 10, -45, 10, -90],
    // And beyond it, over the bottom.
    [[0.5, 0], 10, -60, 10, -105],
  ] as const)('at %j of a mark at %d, %d', (place, yaw, pitch, yawAim, pitchAim) => {
    const aim = aimed(aimAt(directionOf(yaw, pitch), place, right));
    expect(aim.yaw).toBeCloseTo(yawAim, 10);
    expect(aim.pitch).toBeCloseTo(pitchAim, 10);
  });

  it('leaves the frame level, or rolled as given', () => {
    const mark = directionOf(40, 10);
    // Rolled by a right angle clockwise, what is on the frame's right lies below the axis.
    const aim = aimed(aimAt(mark, [1, 0.5], right, { roll: 90 }));
    expect(aim.yaw).toBeCloseTo(40, 10);
    expect(aim.pitch).toBeCloseTo(55, 10);
  });

  it('takes the yaw nearest to the one before', () => {
    const near = (yaw: number) =>
      aimed(aimAt(directionOf(170, 0), [0.5, 0.5], right, { near: yaw }));
    expect(near(0).yaw).toBeCloseTo(170, 10);
    expect(near(-100).yaw).toBeCloseTo(-190, 10);
    expect(near(700).yaw).toBeCloseTo(530, 10);
  });

  it('keeps the yaw for what is straight up or down', () => {
    const aim = aimed(aimAt([0, 1, 0], [0.5, 0], right, { near: 123 }));
    expect(aim.yaw).toBe(123);
    expect(aim.pitch).toBeCloseTo(45, 10);
  });

  it('says when no yaw and pitch lead there', () => {
    expect(aimAt([0, -1, 0], [1 / 3, 0.5], right)).toBe('out-of-reach');
    expect(aimAt(directionOf(0, 85), [1 / 3, 0.5], right)).toBe('out-of-reach');
  });

  it('says when the projection shows nothing there', () => {
    const ball = cameraOf('mirror-ball', SQUARE);
    expect(aimAt(directionOf(0, 0), [0.05, 0.05], ball)).toBe('no-picture');
  });
});

describe('the place of a direction', () => {
  const pairs = [
    ['rectilinear', 'stereographic'],
    ['stereographic', 'mirror-ball'],
    ['panini', 'equidistant'],
    ['cylindrical', 'equirectangular'],
  ] as const;

  it.each(pairs)('is found between %s and %s too', (from, to) => {
    for (const mix of [0.2, 0.5, 0.9]) {
      for (const place of PLACES) {
        const camera = cameraOf(from, SQUARE, { yaw: 20, pitch: -10, to, mix });
        const { ray, inside } = landingAt(camera, place);
        if (!inside) continue;
        const m = camera.rotation;
        const world = [0, 1, 2].map(
          (row) => m[row]! * ray[0] + m[3 + row]! * ray[1] + m[6 + row]! * ray[2],
        );
        const found = placeIn(camera, world as unknown as Ray);
        expect(found?.[0], `${mix} ${place}`).toBeCloseTo(place[0], 6);
        expect(found?.[1], `${mix} ${place}`).toBeCloseTo(place[1], 6);
      }
    }
  });

  it('may lie beyond the frame, or nowhere', () => {
    const camera = cameraOf('rectilinear', SQUARE);
    const [x, y] = placeIn(camera, directionOf(60, 0))!;
    // tan 60 over tan 35, half the frame.
    expect(x).toBeCloseTo(0.5 + Math.sqrt(3) / Math.tan((35 * Math.PI) / 180) / 2, 9);
    expect(y).toBeCloseTo(0.5, 9);
    expect(placeIn(camera, directionOf(120, 0))).toBeUndefined();
  });
});
