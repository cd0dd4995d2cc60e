import { describe, expect, it } from 'vitest';
import { parseScene } from '../../src/scene/parse.js';
import { summarise } from '../../src/scene/summary.js';

const summary = summarise(
  parseScene(
    `
master: a.jpg
duration: 4
fps: 25
outputs: [square]
keyframes:
  - { at: 0, yaw: 0, fov: 100, projection: stereographic, ease: linear }
  - { at: 1, pitch: 10, ease: linear }
  - { at: 2, yaw: 60, ease: linear }
  - { at: 4, fov: 60, projection: rectilinear }
`,
    '/clips/tour.yaml',
  ),
);

const tan = (degrees: number) => Math.tan((degrees * Math.PI) / 180);

describe('the summary of a scene', () => {
  it('counts and names', () => {
    expect(summary).toMatchObject({
      file: '/clips/tour.yaml',
      name: 'tour',
      master: '/clips/a.jpg',
      duration: 4,
      length: 4,
      loop: false,
      fps: 25,
      frames: 100,
    });
    expect(summary.outputs).toMatchObject([{ shape: 'square', width: 1080, height: 1080 }]);
  });

  it('gives every channel at every keyframe', () => {
    const [first, second, third, last] = summary.outputs[0]!.keyframes;
    expect(first).toEqual({
      path: 'keyframes[0]',
      at: 0,
      yaw: 0,
      pitch: 10,
      roll: 0,
      fov: { degrees: 100, side: 'shorter' },
      projection: { name: 'stereographic', params: {} },
    });
    // A quarter on from stereographic, and three quarters by the handover of the perspective morph's fov
    // from rectilinear: there its fov is that which zooms evenly, tan(25)^(3/4) tan(15)^(1/4) = tan(fov / 4).
    const fov = (720 / Math.PI) * Math.atan(tan(25) ** 0.75 * tan(15) ** 0.25);
    expect(second?.fov.degrees).toBeCloseTo(fov, 9);
    expect(second).toEqual({
      path: 'keyframes[1]',
      at: 1,
      yaw: 30,
      pitch: 10,
      roll: 0,
      fov: { degrees: expect.any(Number), side: 'shorter' },
      projection: { name: 'stereographic', params: {} },
      becoming: { name: 'rectilinear', params: {}, share: 0.25 },
    });
    expect(third).toMatchObject({ yaw: 60, becoming: { share: 0.5 } });
    const half = (720 / Math.PI) * Math.atan(Math.sqrt(tan(25) * tan(15)));
    expect(third?.fov.degrees).toBeCloseTo(half, 9);
    expect(last).toMatchObject({ fov: { degrees: 60 }, projection: { name: 'rectilinear' } });
    expect(last).not.toHaveProperty('becoming');
  });

  it('tells no morph between keyframes of the same projection', () => {
    const scene = parseScene(
      `master: a.jpg
duration: 4
outputs: [square]
keyframes:
  - { at: 0, projection: { name: panini, distance: 1 } }
  - { at: 2, yaw: 10 }
  - { at: 4, projection: { name: panini, distance: 1 } }
`,
      'a.yaml',
    );
    for (const keyframe of summarise(scene).outputs[0]!.keyframes) {
      expect(keyframe.projection).toEqual({ name: 'panini', params: { distance: 1 } });
      expect(keyframe).not.toHaveProperty('becoming');
    }
  });

  it('finds the fastest turn', () => {
    // At pitch 10 the view turns by 30 degrees of yaw a second about the vertical.
    expect(summary.outputs[0]?.fastestTurn.degreesPerSecond).toBeCloseTo(30, 9);
  });
});
