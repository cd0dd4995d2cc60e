import { resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import { parseEase } from '../../src/scene/ease.js';
import { parseScene } from '../../src/scene/parse.js';
import * as retarget from '../../src/scene/retarget.js';
import { sequenceOf } from '../../src/scene/sequence.js';
import type { Scene } from '../../src/scene/types.js';
import { buildTimeline } from '../../src/timeline/sample.js';

/** Of the one shot of its sequence. */
const withShapes = (scene: Scene, shapes: readonly string[]) =>
  retarget.withShapes(sequenceOf(scene.file, [scene]), shapes).shots[0]!;

const withFps = (scene: Scene, fps: number | string) =>
  retarget.withFps(sequenceOf(scene.file, [scene]), fps);

const SCENE = `
master: ../pictures/valley.jpg
duration: 8
outputs:
  - vertical
  - shape: landscape
    file: wide.mp4
    background: '#102840'
    keyframes:
      - { at: 50%, fov: 55 }
      - { at: 2, pitch: -10, ease: linear }
background: blur
keyframes:
  - { at: 100%, yaw: 90, fov: 60 }
  - { at: 0, yaw: 0, pitch: 5, fov: 80, ease: ease-in }
  - { at: 00:04.000, projection: { name: panini, distance: 0.5 }, fov: 70, turn: shortest }
`;

const scene = parseScene(SCENE, 'scenes/tour.yaml');

describe('a scene', () => {
  it('knows where it and its master lie', () => {
    expect(scene.file).toBe(resolve('scenes/tour.yaml'));
    expect(scene.name).toBe('tour');
    expect(scene.master).toBe(resolve('pictures/valley.jpg'));
  });

  it('has 30 frames per second and a vertical output unless it says otherwise', () => {
    const plain = parseScene('master: a.jpg\nduration: 1\nkeyframes: [{at: 0}]\n', 'a.yaml');
    expect(plain.fps).toBe(30);
    expect(plain.outputs).toMatchObject([{ shape: 'vertical', width: 1080, height: 1920 }]);
    expect(plain.outputs[0]?.background).toEqual({ kind: 'colour', colour: [0, 0, 0, 255] });
  });

  it('has its keyframes in order of time, in seconds, with what was left out left out', () => {
    expect(scene.keyframes).toEqual([
      {
        at: 0,
        yaw: 0,
        pitch: 5,
        fov: 80,
        ease: parseEase('ease-in'),
        turn: 'as-written',
        path: 'keyframes[1]',
      },
      {
        at: 4,
        projection: { name: 'panini', params: { distance: 0.5 } },
        fov: 70,
        ease: parseEase('ease-in-out'),
        turn: 'shortest',
        path: 'keyframes[2]',
      },
      {
        at: 8,
        yaw: 90,
        fov: 60,
        ease: parseEase('ease-in-out'),
        turn: 'as-written',
        path: 'keyframes[0]',
      },
    ]);
  });

  it('fills in the parameters that a projection has', () => {
    const text = 'master: a.jpg\nduration: 1\nkeyframes: [{at: 0, projection: panini}]\n';
    expect(parseScene(text, 'a.yaml').keyframes[0]?.projection).toEqual({
      name: 'panini',
      params: { distance: 1 },
    });
  });

  it("keeps an output's overrides to that output: same time replaces, another time adds", () => {
    const [vertical, landscape] = scene.outputs;
    expect(vertical?.keyframes).toEqual(scene.keyframes);
    expect(vertical?.background).toEqual({ kind: 'blur' });
    expect(landscape?.background).toEqual({ kind: 'colour', colour: [16, 40, 64, 255] });
    expect(landscape?.file).toBe(resolve('scenes/wide.mp4'));
    expect(landscape?.keyframes.map(({ at, path }) => [at, path])).toEqual([
      [0, 'keyframes[1]'],
      [2, 'outputs[1].keyframes[1]'],
      [4, 'outputs[1].keyframes[0]'],
      [8, 'keyframes[0]'],
    ]);
    expect(landscape?.keyframes[1]).toMatchObject({ pitch: -10, ease: { kind: 'linear' } });
    expect(landscape?.keyframes[2]).toMatchObject({
      fov: 55,
      projection: { name: 'panini', params: { distance: 0.5 } },
      turn: 'shortest',
    });
  });

  it.each([
    ['sphere', 3840, 1920],
    ['sphere-5.7k', 5760, 2880],
    ['sphere-8k', 7680, 3840],
  ])(
    'turns the whole sphere in a %s output, whatever is said of projection and fov',
    (shape, width, height) => {
      const [output] = withShapes(scene, [shape]).outputs;
      expect(output).toMatchObject({ shape, width, height });
      const timeline = buildTimeline(output!.keyframes);
      for (const seconds of [0, 3, 4, 6, 8]) {
        expect(timeline.at(seconds)).toMatchObject({
          fov: { from: { degrees: 360, side: 'horizontal' }, mix: 0 },
          projection: { from: { name: 'equirectangular' }, mix: 0 },
        });
        expect(timeline.angles(seconds)).toEqual(buildTimeline(scene.keyframes).angles(seconds));
      }
    },
  );
});

describe('a ball', () => {
  const text = `
master: a.jpg
duration: 4
ball: { kind: glass, index: 1.33, tint: '#fa0' }
outputs:
  - vertical
  - shape: sphere
    keyframes:
      - { at: 0, ball: { size: 10 } }
keyframes:
  - { at: 0, ball: { yaw: 5, size: 20 } }
  - { at: 4, ball: { distance: 2 } }
`;
  const { keyframes, outputs } = parseScene(text, 'a.yaml');

  it('is described by the first keyframe, in every output', () => {
    const ballLook = { kind: 'glass', index: 1.33, tint: [255, 170, 0, 255] };
    for (const list of [keyframes, ...outputs.map((output) => output.keyframes)]) {
      expect(list[0]).toMatchObject({ ballLook });
      expect(list[1]).not.toHaveProperty('ballLook');
    }
  });

  it("keeps what an output's override does not name", () => {
    expect(outputs[0]?.keyframes[0]?.ball).toEqual({ yaw: 5, size: 20 });
    expect(outputs[1]?.keyframes[0]?.ball).toEqual({ yaw: 5, size: 10 });
  });

  it('hangs at a mark, to which it goes the shorter way, in each output', () => {
    const marked = parseScene(
      `master: a.jpg
duration: 9
ball: glass
north: 90
marks: { boat: { yaw: 170, pitch: -9 }, mill: { heading: 130, pitch: 3 } }
outputs:
  - vertical
  - shape: square
    keyframes:
      - { at: 3, ball: { mark: mill, size: 12 } }
      - { at: 6, ball: { yaw: 100 } }
keyframes:
  - { at: 0, ball: { mark: boat, size: 30 } }
  - { at: 3, ball: { yaw: 500, pitch: 1 } }
  - { at: 6, ball: { mark: mill, distance: 2 } }
  - { at: 9, ball: { mark: boat } }
`,
      'a.yaml',
    );
    const balls = marked.outputs.map(({ keyframes }) => keyframes.map(({ ball }) => ball));
    // North at yaw 90, so heading 130 is yaw 220; of the whole turns more, the nearest to the ball before.
    expect(balls[0]).toEqual([
      { yaw: 170, pitch: -9, size: 30 },
      { yaw: 500, pitch: 1 },
      { yaw: 580, pitch: 3, distance: 2 },
      { yaw: 530, pitch: -9 },
    ]);
    expect(balls[1]).toEqual([
      { yaw: 170, pitch: -9, size: 30 },
      { yaw: 220, pitch: 3, size: 12 },
      { yaw: 100, pitch: 3, distance: 2 },
      { yaw: 170, pitch: -9 },
    ]);
  });

  it('is of glass of 1.5 in white when only its kind is said, and not there by default', () => {
    const plain = (ball: string) =>
      parseScene(`master: a.jpg\nduration: 1\n${ball}keyframes: [{at: 0}]\n`, 'a.yaml');
    expect(plain('ball: glass\n').keyframes[0]?.ballLook).toEqual({
      kind: 'glass',
      index: 1.5,
      tint: [255, 255, 255, 255],
    });
    expect(plain('').keyframes[0]).not.toHaveProperty('ballLook');
  });
});

describe('shapes from the command line', () => {
  it('keep the overrides of an output in that shape, by name or by size', () => {
    const landscape = scene.outputs[1];
    expect(withShapes(scene, ['landscape']).outputs).toEqual([landscape]);
    expect(withShapes(scene, ['1920x1080']).outputs).toEqual([landscape]);
  });

  it("otherwise follow the scene's own keyframes and background", () => {
    expect(withShapes(scene, ['640x360', 'square']).outputs).toEqual([
      {
        shape: '640x360',
        width: 640,
        height: 360,
        background: { kind: 'blur' },
        keyframes: scene.keyframes,
      },
      {
        shape: 'square',
        width: 1080,
        height: 1080,
        background: { kind: 'blur' },
        keyframes: scene.keyframes,
      },
    ]);
  });

  it('are each taken once', () => {
    expect(withShapes(scene, ['square', 'square', 'landscape', '1920x1080']).outputs).toHaveLength(
      2,
    );
  });

  it('are all told what is wrong with them', () => {
    expect(() => withShapes(scene, ['sqare', '3x3', 'vertical'])).toThrow(
      [
        "--shape: takes vertical, portrait, square, landscape, uhd, sphere, sphere-5.7k, sphere-8k or a size such as 1080x1920, found 'sqare'. Did you mean 'square'?",
        '--shape: takes sides of 16 to 8192 pixels, found 3x3',
      ].join('\n'),
    );
  });

  it('are checked for the fields of view that they show', () => {
    const tall = parseScene(
      'master: a.jpg\nduration: 1\nkeyframes: [{at: 0, projection: panini, fov: 200}]\n',
      'a.yaml',
    );
    expect(() => withShapes(tall, ['landscape'])).toThrow(
      `${resolve('a.yaml')}: keyframes[0].fov: panini takes more than 0 and less than 180 degrees along the frame's vertical side, found 200`,
    );
  });
});

describe('a frame rate from the command line', () => {
  it('replaces that of the scene', () => {
    expect(withFps(scene, '30000/1001').fps).toBe(30000 / 1001);
    expect(withFps(scene, 25).fps).toBe(25);
  });

  it('is told when it is none', () => {
    expect(() => withFps(scene, 'fast')).toThrow(
      "--fps: takes 1 to 240 frames per second, or a fraction such as '30000/1001', found 'fast'",
    );
  });
});
