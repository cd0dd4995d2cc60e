import { describe, expect, it } from 'vitest';
import { parseScene } from '../../src/scene/parse.js';
import { safeOf, usualSafe } from '../../src/scene/safe.js';
import { shapes } from '../../src/scene/shapes.js';
import { warningsOf } from '../../src/scene/warnings.js';

/** Ten frames a second; 90 degrees across, so that a place's distance from the middle is a tangent. */
const sceneOf = (keyframes: string, outputs = '[square]') =>
  parseScene(
    `master: a.jpg
duration: 10
fps: 10
outputs: ${outputs}
marks: { mill: { yaw: 0 }, boat: { yaw: 60 } }
keyframes:
${keyframes}`,
    's.yaml',
  );

const BARE = '[{ shape: square, safe: { top: 0, bottom: 0, left: 10%, right: 0.1 } }]';

describe('a mark that is looked at', () => {
  it('gives no warning while it keeps to the safe area', () => {
    expect(
      warningsOf(
        sceneOf(`
  - { at: 0, look: mill, place: left-third }
  - { at: 4, look: mill, place: upper-right }
  - { at: 8, look: boat }`),
      ),
    ).toEqual([]);
  });

  it('is told with its times where the safe area cuts it off', () => {
    // Rectilinear, fov 90: at x the mark lies atan(2x - 1) off the axis; linear in yaw between.
    const scene = sceneOf(
      `
  - { at: 0, look: mill, place: [0.15, 0.5], ease: linear }
  - { at: 4, look: mill, place: [0.05, 0.5], ease: linear }
  - { at: 8, look: mill, place: [0.15, 0.5] }`,
      BARE,
    );
    const yaw = (x: number) => Math.atan(1 - 2 * x);
    const share = (yaw(0.1) - yaw(0.15)) / (yaw(0.05) - yaw(0.15));
    const first = Math.ceil(40 * share) / 10;
    expect(warningsOf(scene)).toEqual([
      {
        path: 'keyframes[0].look',
        message: `mill lies outside the safe area of square at the left, from ${first} to ${8 - first} s`,
        from: first,
        to: 8 - first,
      },
    ]);
  });

  it('is told once where it leaves the frame, from the keyframe to the end', () => {
    const scene = sceneOf(
      '  - { at: 2, look: mill, place: right-third, fov: 90 }\n  - { at: 6, fov: 20 }',
    );
    const [warning, ...others] = warningsOf(scene);
    expect(others).toEqual([]);
    expect(warning).toMatchObject({ path: 'keyframes[0].look', to: 9.9 });
    expect(warning?.message).toMatch(
      /^mill lies outside the frame of square at the right, from 4\.\d to 9\.9 s$/u,
    );
  });

  it('may be put outside at the very keyframe', () => {
    const scene = sceneOf(
      '  - { at: 0, look: mill, place: [0.5, 0.97] }\n  - { at: 8, yaw: 90 }',
      '[landscape]',
    );
    expect(warningsOf(scene)).toEqual([
      {
        path: 'keyframes[0].look',
        message: 'mill lies outside the safe area of landscape at the bottom, at 0 s',
        from: 0,
        to: 0,
      },
    ]);
  });

  it('may be left on the way to another, but is held until a cut', () => {
    const keyframes = (ease: string) => `
  - { at: 0, look: mill, place: [0.02, 0.5], ease: ${ease} }
  - { at: 4, look: boat }`;
    expect(warningsOf(sceneOf(keyframes('linear')))).toMatchObject([{ from: 0, to: 0 }]);
    expect(warningsOf(sceneOf(keyframes('hold')))).toMatchObject([{ from: 0, to: 3.9 }]);
  });

  it('is found between frames: at the keyframe itself', () => {
    const scene = sceneOf(
      '  - { at: 0, yaw: 0 }\n  - { at: 0.25, look: mill, place: [0.02, 0.5] }\n  - { at: 1, yaw: 90 }',
    );
    expect(warningsOf(scene)).toMatchObject([{ from: 0.25, to: 0.25 }]);
  });

  it('has no safe area in a sphere, whose frame it cannot leave', () => {
    const scene = sceneOf('  - { at: 0, look: mill, place: [0.01, 0.02] }', '[sphere]');
    expect(warningsOf(scene)).toEqual([]);
  });
});

describe('safe areas', () => {
  it('are there for every flat shape, and leave room', () => {
    for (const shape of shapes) {
      const { top, bottom, left, right } = usualSafe({ shape: shape.name, ...shape });
      const isSphere = shape.name.startsWith('sphere');
      expect(top + bottom === 0).toBe(isSphere);
      expect(top + bottom).toBeLessThan(0.5);
      expect(left + right).toBeLessThan(0.5);
    }
  });

  it("of a size of one's own are those of the nearest ratio", () => {
    const of = (width: number, height: number) =>
      usualSafe({ shape: `${width}x${height}`, width, height });
    const named = (shape: string) =>
      usualSafe({ ...shapes.find(({ name }) => name === shape)!, shape });
    expect(of(720, 1280)).toEqual(named('vertical'));
    expect(of(800, 1000)).toEqual(named('portrait'));
    expect(of(500, 502)).toEqual(named('square'));
    expect(of(2000, 500)).toEqual(named('landscape'));
    expect(named('uhd')).toEqual(named('landscape'));
  });

  it('take what an output says in their place', () => {
    const [output] = sceneOf(
      '  - { at: 0 }',
      "[{ shape: vertical, safe: { top: 25%, bottom: '12.5 %', left: 0 } }]",
    ).outputs;
    expect(safeOf(output!)).toEqual({
      top: 0.25,
      bottom: 0.125,
      left: 0,
      right: usualSafe(output!).right,
    });
  });

  it.each(['12', "'0.12'", '50%', '-1%', '[1]', 'wide'])('do not take %s', (margin) => {
    expect(() => sceneOf('  - { at: 0 }', `[{ shape: square, safe: { top: ${margin} } }]`)).toThrow(
      /outputs\[0\]\.safe\.top: takes a margin as a share of the frame, from 0 to below half: '12%' or 0\.12, found /u,
    );
  });

  it('know their fields', () => {
    expect(() => sceneOf('  - { at: 0 }', '[{ shape: square, safe: { botom: 1% } }]')).toThrow(
      "outputs[0].safe.botom: is not a field here. Did you mean 'bottom'?",
    );
  });
});

describe('an even pace', () => {
  const lines = (last: string) => `
  - { at: 0, yaw: 0, fov: 60 }
  - { at: 5, look: boat }
  - { at: 10, yaw: 80${last} }`;
  const paced = (pace: string, keyframes: string) =>
    parseScene(
      `master: a.jpg
duration: 10
fps: 10
outputs: [square]
${pace}
marks: { boat: { yaw: 60 } }
keyframes:${keyframes}`,
      's.yaml',
    );

  it('is told where it brings a mark to its place at another time', () => {
    // 80 degrees in ten seconds, so 60 of them in seven and a half.
    expect(warningsOf(paced('pace: even', lines('')))).toEqual([
      {
        path: 'keyframes[1].look',
        message:
          "with pace: even, boat comes to its place in square at about 7.5 s, not at 5 s; where the time counts, give the keyframe before it 'pace: keyed'",
        from: 5,
        to: 5,
      },
    ]);
    // While the view widens, what would be at a third then is elsewhere before.
    const zoomed = lines(', fov: 100').replace('look: boat', 'look: boat, place: left-third');
    expect(warningsOf(paced('pace: even', zoomed)).map(({ message }) => message)).toEqual([
      expect.stringContaining('with pace: even, boat comes to its place in square'),
    ]);
  });

  it('is not told where the times are the same, or kept', () => {
    expect(warningsOf(paced('pace: keyed', lines('')))).toEqual([]);
    const first = lines('').replace('fov: 60 }', 'fov: 60, pace: keyed }');
    expect(warningsOf(paced('pace: even', first))).toEqual([]);
  });
});
