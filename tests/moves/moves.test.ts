import { readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { COMFORT } from '../../src/comfort/limits.js';
import { motions } from '../../src/comfort/motion.js';
import { segments } from '../../src/comfort/segments.js';
import { comfortWarnings } from '../../src/comfort/warnings.js';
import { camerasOf } from '../../src/flow/cameras.js';
import { moveNames, moves } from '../../src/moves/index.js';
import type { Param } from '../../src/moves/types.js';
import { summariseSequence } from '../../src/scene/summary.js';
import type { Sequence } from '../../src/scene/types.js';
import { frameCount } from '../../src/timeline/frames.js';
import { camerasAt, largestStep, random, SHAPES, sceneOf } from './support.js';

/** Yaw, pitch, fov and projection at the start and at the end, without a word about the move. */
type Ends = readonly [
  readonly [number, number, number, string],
  readonly [number, number, number, string],
];

const ENDS: Readonly<Record<string, Ends>> = {
  'planet-to-view': [
    [-130, -90, 256, 'stereographic'],
    [0, 3, 74, 'rectilinear'],
  ],
  'view-to-planet': [
    [0, 3, 74, 'rectilinear'],
    [130, -90, 256, 'stereographic'],
  ],
  'turning-planet': [
    [0, -90, 250, 'stereographic'],
    [360, -90, 250, 'stereographic'],
  ],
  'approaching-planet': [
    [-110, -90, 336, 'stereographic'],
    [0, -90, 256, 'stereographic'],
  ],
  'inside-out': [
    [0, -90, 250, 'stereographic'],
    [60, 90, 260, 'stereographic'],
  ],
  'outside-in': [
    [0, 90, 260, 'stereographic'],
    [60, -90, 250, 'stereographic'],
  ],
  'over-the-top': [
    [0, 2, 76, 'rectilinear'],
    [180, 2, 76, 'rectilinear'],
  ],
  'look-around': [
    [-45, -1, 68, 'rectilinear'],
    [45, -1, 68, 'rectilinear'],
  ],
  'turn-to': [
    [-60, 0, 66, 'rectilinear'],
    [0, 0, 66, 'rectilinear'],
  ],
  'mark-to-mark': [
    [-60, 0, 58, 'rectilinear'],
    [70, 0, 58, 'rectilinear'],
  ],
  'push-in': [
    [0, 0, 84, 'rectilinear'],
    [0, 0, 36, 'rectilinear'],
  ],
  'pull-back': [
    [0, 0, 34, 'rectilinear'],
    [0, 0, 90, 'rectilinear'],
  ],
  'tilt-up': [
    [0, -72, 86, 'rectilinear'],
    [0, 3, 70, 'rectilinear'],
  ],
  unroll: [
    [-100, 0, 360, 'equirectangular'],
    [0, 0, 72, 'rectilinear'],
  ],
  'ball-to-view': [
    [-120, -14, 360, 'mirror-ball'],
    [0, 2, 74, 'rectilinear'],
  ],
  'view-to-ball': [
    [0, 2, 74, 'rectilinear'],
    [120, -14, 360, 'mirror-ball'],
  ],
  'hovering-ball': [
    [-8, 1, 72, 'rectilinear'],
    [8, 1, 72, 'rectilinear'],
  ],
  hold: [
    [0, 0, 70, 'rectilinear'],
    [0, 0, 70, 'rectilinear'],
  ],
};

/** As `orbreel check` tells them. */
function endsOf(scene: Sequence) {
  const { keyframes } = summariseSequence(scene).shots[0]!.outputs[0]!;
  return [keyframes[0]!, keyframes.at(-1)!].map(({ at, yaw, pitch, roll, fov, projection }) => ({
    ...{ at, yaw, pitch, roll, fov: fov?.degrees, projection: projection.name },
  }));
}

const moving = (scene: Sequence, index: number) => {
  const output = scene.outputs[index]!;
  return { ...output, fps: scene.fps, cameraAt: camerasOf(scene, output)(0) };
};

describe('the moves', () => {
  it('are all held to what they are documented to do', () => {
    expect(Object.keys(ENDS).toSorted()).toEqual(moveNames.toSorted());
    expect(moveNames.length).toBeGreaterThanOrEqual(12);
    expect(new Set(moveNames).size).toBe(moveNames.length);
  });

  it('each have a file of their own name', () => {
    const files = readdirSync(new URL('../../src/moves/', import.meta.url));
    expect(files).toEqual(expect.arrayContaining(moveNames.map((name) => `${name}.ts`)));
  });
});

describe.each(moveNames)('%s', (name) => {
  const scene = sceneOf([name]);
  const { duration, fps, outputs, shots } = scene;

  it('begins and ends as documented, with the horizon level', () => {
    const [start, end] = ENDS[name]!.map(([yaw, pitch, fov, projection]) => ({
      ...{ yaw, pitch, roll: 0, fov, projection },
    }));
    expect(endsOf(scene)).toEqual([
      { at: 0, ...start },
      { at: duration, ...end },
    ]);
  });

  it('is comfortable in all shapes by itself', () => {
    expect(comfortWarnings(scene)).toEqual([]);
    for (const index of SHAPES.keys()) {
      const { keyframes } = shots[0]!.outputs[index]!;
      for (const { turning, zooming } of segments(moving(scene, index), keyframes, duration)) {
        expect(turning.speed).toBeLessThanOrEqual(COMFORT.turning);
        expect(zooming.speed).toBeLessThanOrEqual(COMFORT.zooming);
      }
    }
  });

  it('comes softly to rest, and sets out softly where it goes on from another', () => {
    const from = moves.find((move) => move.name === name)!.begins;
    const before = moves.find(
      ({ name: other, ends }) =>
        other !== name && ends.projection === from.projection && ends.pitch === from.pitch,
    );
    const alone = name === 'unroll' || from.words === 'any view' ? 'hold' : before?.name;
    const chained = name === 'unroll' ? scene : sceneOf([{ move: alone, for: 8 }, name]);
    const last = frameCount(chained.duration, fps) - 1;
    const list = motions(moving(chained, 0), 0, last);
    const start = name === 'unroll' ? [] : list.filter(({ at }) => Math.abs(at - 8) < 1 / fps);
    for (const { turning, zooming } of [...start, list.at(-1)!]) {
      expect(turning).toBeLessThan(3);
      expect(Math.abs(zooming)).toBeLessThan(0.12);
    }
  });

  it('never jumps, whatever its parameters', () => {
    const { params } = moves.find((move) => move.name === name)!;
    const next = random(20_251_125 + name.length);
    for (let round = 0; round < 6; round++) {
      const given = Object.entries(params).map(([key, param]) => [key, valueFor(param, next)]);
      const placed = given.some(([, value]) =>
        JSON.stringify(value).match(/windmill|boat|balloon/u),
      );
      const fields = Object.fromEntries(given.filter(([key]) => key !== 'place' || placed));
      const output = Math.floor(next() * outputs.length);
      const random = sceneOf([{ move: name, for: 3 + 9 * next(), ...fields }]);
      // Eight times as many frames: a way without jumps has steps an eighth as long, or little more. At
      // a mirror ball's rim, r = sin(theta / 2) = 1, theta goes with the root: 16 times, a quarter.
      const rates = name.includes('ball') ? [24, 384] : [24, 192];
      const [coarse, fine] = rates.map((rate) => largestStep(camerasAt(random, output, rate)));
      const most = name.includes('ball') ? 0.4 : 0.3;
      expect(fine, JSON.stringify(fields)).toBeLessThan(most * coarse! + 0.02);
    }
  }, 60_000);
});

/** Something that the parameter takes; small turns, so that marks are within reach. */
function valueFor(param: Param, next: () => number): unknown {
  const target = () => {
    const marks = ['windmill', 'boat', 'balloon'];
    return next() < 0.5
      ? marks[Math.floor(next() * marks.length)]!
      : Math.round(360 * next() - 180);
  };
  switch (param.kind) {
    case 'number':
      return param.min + (param.max - param.min) * next();
    case 'choice':
      return param.options[Math.floor(next() * param.options.length)];
    case 'target':
      return target();
    case 'targets':
      return Array.from({ length: 2 + Math.floor(4 * next()) }, target);
    case 'place':
      return [0.35 + 0.3 * next(), 0.35 + 0.3 * next()];
  }
}
