import { quat } from 'gl-matrix';
import { describe, expect, it } from 'vitest';
import { anglesOf, orientationOf, rotationMatrix } from '../../src/camera/orientation.js';
import { type Passage, throughPlanet } from '../../src/camera/planetPassage.js';
import { resolveCamera } from '../../src/camera/resolve.js';
import type { Camera, Orientation, ViewSample } from '../../src/camera/types.js';
import { COMFORT } from '../../src/comfort/limits.js';
import { motions } from '../../src/comfort/motion.js';
import { degrees } from '../../src/math.js';
import { directionAt, distance, placesOf } from '../../src/render/resolution.js';
import { parseScene } from '../../src/scene/parse.js';
import { transitionField } from '../../src/scene/shots/transition.js';
import { buildTimeline } from '../../src/timeline/sample.js';

const [WIDTH, HEIGHT] = [320, 180];

/** The camera of a scene of 6 seconds with those keyframes. */
function cameraOf(keyframes: string): (seconds: number) => Camera {
  const text = `master: a.jpg\nduration: 6\noutputs: [${WIDTH}x${HEIGHT}]\nkeyframes: [${keyframes}]\n`;
  const timeline = buildTimeline(parseScene(text, 's.yaml').keyframes);
  return (seconds) => resolveCamera(timeline.at(seconds), WIDTH, HEIGHT);
}

const LEVEL = '{at: 0, yaw: 20, pitch: 5, roll: 10, fov: 70, ease: linear}, {at: 6, yaw: 50}';

/** From all kinds of views, also those looking straight up or down and those turning into other projections. */
const VIEWS = {
  level: LEVEL,
  'straight up': '{at: 0, pitch: 80, fov: 80, ease: linear}, {at: 6, pitch: 100}',
  'straight down': '{at: 0, pitch: -90, fov: 250, projection: stereographic}, {at: 6, yaw: 90}',
  'the shortest way over the top':
    '{at: 0, yaw: 0, pitch: 70, turn: shortest, ease: linear}, {at: 6, yaw: 178, pitch: 70}',
  'a mirror ball': '{at: 0, yaw: 9, projection: mirror-ball, fov: 360}',
  'on the way to a planet':
    '{at: 0, fov: 70, ease: linear}, {at: 6, pitch: -90, fov: 240, projection: stereographic}',
  'between two projections':
    '{at: 0, fov: 150, projection: panini, ease: linear}, {at: 6, fov: 200, projection: equidistant}',
};

const closing: Passage = { way: 'closing', from: 3, until: 6, turns: 0.25, fov: 250 };
const opening: Passage = { way: 'opening', from: 0, until: 3, turns: 0.25, fov: 250 };

const turnOf = ({ rotation }: Camera): Orientation => {
  const out: [number, number, number, number] = [0, 0, 0, 1];
  return quat.fromMat3(out, rotation as never) as unknown as Orientation;
};

/** How far, in degrees, any place of the frame turns between two cameras. */
const apart = (a: Camera, b: Camera): number =>
  degrees(
    Math.max(
      ...[...placesOf()].map(([x, y]) => distance(directionAt(a, x, y), directionAt(b, x, y))),
    ),
  );

describe('a passage through the planet', () => {
  const own = cameraOf(LEVEL);

  it('begins, or ends, with the very camera of the shot, and leaves it alone outside', () => {
    const [close, open] = [closing, opening].map((passage) =>
      throughPlanet(own, passage, WIDTH, HEIGHT),
    );
    for (const seconds of [0, 1.5, 3]) expect(close!(seconds)).toEqual(own(seconds));
    for (const seconds of [3, 4.5, 6]) expect(open!(seconds)).toEqual(own(seconds));
  });

  it('reaches the planet: straight down, stereographic, as wide as asked for', () => {
    const close = throughPlanet(own, closing, WIDTH, HEIGHT);
    const planet = resolveCamera(
      {
        ...({ orientation: orientationOf(0, -90, 0) } as ViewSample),
        fov: {
          from: { degrees: 250, side: 'shorter' },
          to: { degrees: 250, side: 'shorter' },
          mix: 0,
        },
        projection: {
          from: { name: 'stereographic', params: {}, fov: undefined as never },
          to: { name: 'stereographic', params: {}, fov: undefined as never },
          mix: 1,
        },
      },
      WIDTH,
      HEIGHT,
    );
    const middle = close(4.5);
    expect(middle.lenses[0].halfExtent[1]).toBeCloseTo(2 * Math.tan((250 / 4 / 180) * Math.PI), 9);
    expect(middle.lenses[0].halfExtent).toEqual(planet.lenses[0].halfExtent);
    expect(anglesOf(turnOf(middle)).pitch).toBeCloseTo(-90, 3);
  });

  it.each([
    [0.25, 90],
    [-0.5, -180],
    [0, 0],
  ])('with %d turns turns the planet by %d degrees, to the right when positive', (turns, angle) => {
    // The view keeps still, so what turns is the passage's.
    const still = cameraOf('{at: 0, yaw: 20, fov: 70}');
    const close = throughPlanet(still, { ...closing, turns }, WIDTH, HEIGHT);
    const [half, whole] = [close(4.5), close(6)].map((camera) => camera.rotation);
    const expected = (yaw: number) => rotationMatrix(orientationOf(yaw, -90, 0));
    for (const index of [0, 4, 8]) {
      expect(half![index]).toBeCloseTo(expected(20 + angle / 2)[index]!, 9);
      expect(whole![index]).toBeCloseTo(expected(20 + angle)[index]!, 9);
    }
    // The incoming planet has as far to go: both turn alike while they are mixed.
    const open = throughPlanet(still, { ...opening, turns }, WIDTH, HEIGHT);
    const before = open(1.5).rotation;
    for (const index of [0, 4, 8]) {
      expect(before[index]).toBeCloseTo(expected(20 - angle / 2)[index]!, 9);
    }
  });

  describe.each(Object.entries(VIEWS))('from %s', (_name, keyframes) => {
    it.each([closing, opening])('moves without a jump ($way)', (passage) => {
      const cameraAt = throughPlanet(cameraOf(keyframes), passage, WIDTH, HEIGHT);
      // A jump would stay as large however short the steps; movement shrinks with them.
      const largest = (steps: number) => {
        let most = 0;
        for (let n = 0; n < steps; n++) {
          const at = (k: number) => cameraAt(passage.from + (3 * k) / steps);
          most = Math.max(most, apart(at(n), at(n + 1)));
        }
        return most;
      };
      const [coarse, fine] = [largest(90), largest(720)];
      expect(coarse).toBeLessThan(16);
      expect(fine).toBeLessThan(coarse / 4);
    });
  });

  it('keeps within the limits of comfort at its usual length', () => {
    const transition = transitionField.parse('planet');
    if (transition.kind !== 'planet') throw new Error('no planet');
    const passage: Passage = { ...transition, way: 'closing', from: 0, until: transition.duration };
    const still = cameraOf('{at: 0, yaw: 20, fov: 75}');
    const cameraAt = throughPlanet(still, passage, WIDTH, HEIGHT);
    const moving = { cameraAt, fps: 30, width: WIDTH, height: HEIGHT };
    const speeds = motions(moving, 0, 30 * transition.duration);
    const turning = Math.max(...speeds.map((speed) => speed.turning));
    const zooming = Math.max(...speeds.map((speed) => Math.abs(speed.zooming)));
    expect(turning).toBeGreaterThan(30);
    expect(turning).toBeLessThan(COMFORT.turning);
    expect(zooming).toBeLessThan(COMFORT.zooming);
  });
});
