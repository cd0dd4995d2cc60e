import { describe, expect, it } from 'vitest';
import { directionOf, placeIn } from '../../src/camera/aim.js';
import { resolveCamera } from '../../src/camera/resolve.js';
import type { MasterFacts } from '../../src/scene/direction.js';
import { readDocument } from '../../src/scene/document.js';
import * as parse from '../../src/scene/parse.js';
import { parseScene } from '../../src/scene/parse.js';
import { withShapes } from '../../src/scene/retarget.js';
import { sequenceOf } from '../../src/scene/sequence.js';
import type { Output } from '../../src/scene/types.js';
import { buildTimeline, timelineOf } from '../../src/timeline/sample.js';

/** Of a file of one shot. */
function readScene(text: string, file: string, facts: MasterFacts = {}) {
  const written = readDocument(text, file);
  const { scene, problems, askHeading } = parse.readScene(written, file, { factsOf: () => facts });
  return { scene: scene?.shots[0], problems, asksHeading: askHeading.size > 0 };
}

const SHAPES = '[vertical, portrait, square, landscape, uhd, 640x360]';

const sceneOf = (keyframes: string, more = '', outputs = SHAPES) => `master: a.jpg
duration: 8
outputs: ${outputs}
marks:
  windmill: { yaw: -25, pitch: -14 }
  boat: { yaw: 170, pitch: -9 }
${more}
keyframes:
${keyframes}`;

const parsed = (...words: Parameters<typeof sceneOf>) => parseScene(sceneOf(...words), 's.yaml');

const placeOf = (output: Output, seconds: number, yaw: number, pitch: number) =>
  placeIn(
    resolveCamera(buildTimeline(output.keyframes).at(seconds), output.width, output.height),
    directionOf(yaw, pitch),
  );

const yaws = (output: Output | undefined) => output?.keyframes.map(({ yaw }) => yaw);

const problemsOf = (text: string): string[] =>
  readScene(text, 's.yaml').problems.map(({ path, message }) => `${path}: ${message}`);

describe('a look', () => {
  it('puts its mark at its place in every shape, whatever fov, projection and roll come to then', () => {
    const scene = parsed(`
  - { at: 0, roll: 0, fov: 60, ease: linear }
  - { at: 2, look: windmill, place: upper-left }
  - { at: 4, look: boat, place: [0.6, 0.7], projection: stereographic }
  - { at: 6, look: windmill, turn: shortest }
  - { at: 8, look: { yaw: 40, pitch: 12 }, place: right-third, roll: 20, fov: 100, projection: panini }`);
    const third = 1 / 3;
    for (const output of scene.outputs) {
      for (const [at, yaw, pitch, x, y] of [
        [2, -25, -14, third, third],
        [4, 170, -9, 0.6, 0.7],
        [6, -25, -14, 0.5, 0.5],
        [8, 40, 12, 1 - third, 0.5],
      ] as const) {
        const place = placeOf(output, at, yaw, pitch)!;
        expect(Math.abs(place[0] - x)).toBeLessThan(1e-6);
        expect((Math.abs(place[1] - y) * output.height) / output.width).toBeLessThan(1e-6);
      }
    }
    // The frames' ratios ask for different angles.
    const [vertical, , , landscape] = scene.outputs;
    expect(vertical?.keyframes[1]?.yaw).not.toBeCloseTo(landscape!.keyframes[1]!.yaw!, 0);
  });

  it('turns the shorter way from the keyframe before, counting on past a half turn', () => {
    const scene = parsed(`
  - { at: 0, yaw: -150, pitch: 0 }
  - { at: 4, look: boat }
  - { at: 5, fov: 50 }
  - { at: 8, look: windmill }`);
    expect(yaws(scene.outputs[0])).toEqual([
      -150,
      expect.closeTo(-190, 9),
      undefined,
      expect.closeTo(-25, 9),
    ]);
  });

  it('is aimed anew for a shape from the command line', () => {
    const scene = sequenceOf('s.yaml', [
      parsed('  - { at: 0, look: windmill, place: lower-right, fov: 50 }'),
    ]);
    const [wide] = withShapes(scene, ['1000x400']).shots[0]!.outputs;
    const place = placeOf(wide!, 0, -25, -14)!;
    expect(place[0]).toBeCloseTo(2 / 3, 9);
    expect(place[1]).toBeCloseTo(2 / 3, 9);
  });
});

describe('an override', () => {
  const outputs = (override: string) =>
    `[{ shape: square, keyframes: [{ at: 0, ${override} }] }, vertical]`;
  const first = (base: string, override: string) => {
    const scene = parsed(`  - { at: 0, ${base} }\n  - { at: 8, fov: 60 }`, '', outputs(override));
    return scene.outputs[0]!;
  };

  it('of the place alone keeps the mark', () => {
    const place = placeOf(
      first('look: windmill, place: centre', 'place: [0.4, 0.3]'),
      0,
      -25,
      -14,
    )!;
    expect(place[0]).toBeCloseTo(0.4, 9);
    expect(place[1]).toBeCloseTo(0.3, 9);
  });

  it('that looks replaces angles and headings', () => {
    for (const base of ['yaw: 5, pitch: 7', 'heading: 30']) {
      const scene = parsed(`  - { at: 0, ${base} }`, 'north: 0', outputs('look: boat'));
      expect(scene.outputs[0]?.keyframes[0]).toMatchObject({
        yaw: expect.closeTo(170, 9),
        pitch: expect.closeTo(-9, 9),
      });
    }
  });

  it('that gives angles replaces a look and its place', () => {
    const [keyframe] = first('look: windmill, place: left-third', 'yaw: 5, pitch: 7').keyframes;
    expect(keyframe).toMatchObject({ yaw: 5, pitch: 7 });
    expect(keyframe).not.toHaveProperty('look');
    expect(keyframe).not.toHaveProperty('place');
  });

  it('of the yaw replaces a heading, and the other way about', () => {
    const one = (base: string, override: string) =>
      parsed(`  - { at: 0, ${base} }`, 'north: 10', outputs(override)).outputs[0]?.keyframes[0]
        ?.yaw;
    expect(one('heading: 30', 'yaw: 5')).toBe(5);
    expect(one('yaw: 5', 'heading: 30')).toBe(40);
  });

  it('of anything else aims anew', () => {
    const output = first(
      'look: windmill, place: upper-right',
      'fov: 40, roll: 15, projection: panini',
    );
    const place = placeOf(output, 0, -25, -14)!;
    expect(place[0]).toBeCloseTo(2 / 3, 9);
    expect(place[1]).toBeCloseTo(1 / 3, 9);
  });
});

describe('headings', () => {
  const KEYFRAMES = `
  - { at: 0, heading: 350 }
  - { at: 4, heading: 10 }
  - { at: 6, look: { heading: 90 } }
  - { at: 8, look: church }`;
  const more = '  church: { heading: 300, pitch: 5 }';

  it('count clockwise from north, and go on the shorter way', () => {
    const scene = parsed(KEYFRAMES, `${more}\nnorth: 20`);
    expect(yaws(scene.outputs[0])).toEqual([
      10,
      30,
      expect.closeTo(110, 9),
      // 320, or -40: from 110 the latter is nearer.
      expect.closeTo(-40, 9),
    ]);
    expect(scene.marks.at(-1)).toEqual({ name: 'church', yaw: -40, pitch: 5 });
  });

  it.each(['', 'north: master'])("take the master's own heading: %j", (north) => {
    const text = sceneOf(KEYFRAMES, `${more}\n${north}`);
    expect(readScene(text, 's.yaml').asksHeading).toBe(true);
    // A centre that faces 340 has north 20 degrees to its right.
    const { scene, asksHeading } = readScene(text, 's.yaml', { heading: 340 });
    expect(asksHeading).toBe(false);
    expect(yaws(scene?.outputs[0])?.[0]).toBeCloseTo(10, 9);
  });

  it('are not asked of the master where the scene says it, or has none', () => {
    expect(readScene(sceneOf(KEYFRAMES, `${more}\nnorth: 0`), 's').asksHeading).toBe(false);
    expect(readScene(sceneOf('  - { at: 0, look: boat }'), 's').asksHeading).toBe(false);
  });

  it('are told where north is unknown', () => {
    expect(() => parsed('  - { at: 0, heading: 90 }')).toThrow(
      "s.yaml:9:23: keyframes[0].heading: needs north, and the master does not say its centre's heading; write north: and the yaw at which north lies",
    );
  });
});

describe('what cannot be', () => {
  it('is a place where the projection has no picture, told with the shapes', () => {
    expect(
      problemsOf(
        sceneOf(
          '  - { at: 0, look: boat, place: [0.5, 0.1], projection: mirror-ball, fov: 360 }',
          '',
          '[vertical, square]',
        ),
      ),
    ).toEqual([
      'keyframes[0].place: the projection shows nothing at [0.5, 0.1] with this field of view; move the place towards the centre (vertical)',
    ]);
  });

  it('is a place that a level camera cannot give', () => {
    expect(
      problemsOf(sceneOf('  - { at: 0, look: { yaw: 0, pitch: 89 }, place: left-third }')),
    ).toEqual([
      'keyframes[0].place: no way of looking puts yaw 0, pitch 89 at left-third with a roll of 0; move the place towards the middle of the frame, or roll',
    ]);
  });

  it('is told by the command line too', () => {
    const scene = parsed(
      '  - { at: 0, look: boat, place: [0.1, 0.5], projection: mirror-ball, fov: 360 }',
      '',
      '[vertical]',
    );
    expect(() => withShapes(sequenceOf('s.yaml', [scene]), ['landscape'])).toThrow(
      'keyframes[0].place: the projection shows nothing at [0.1, 0.5] with this field of view; move the place towards the centre',
    );
  });

  it.each([
    [
      'look: windmill, yaw: 3, pitch: 1',
      'keyframes[0].look: says where to look, and so do yaw and pitch; keep one or the other',
    ],
    [
      'look: windmill, heading: 3',
      'keyframes[0].look: says where to look, and so does heading; keep one or the other',
    ],
    ['yaw: 3, heading: 3', 'keyframes[0].heading: says the yaw, and so does yaw; keep one of them'],
    [
      'look: windmil',
      "keyframes[0].look: takes the name of a mark under marks: windmill or boat, found 'windmil'. Did you mean 'windmill'?",
    ],
    [
      'place: centre',
      'keyframes[0].place: says where in the frame, but not what: add look: and the name of a mark',
    ],
    [
      'look: { pitch: 3 }',
      'keyframes[0].look: takes a yaw or a heading, and a pitch: {yaw: 34, pitch: -4}; found neither yaw nor heading',
    ],
    [
      'look: 5',
      'keyframes[0].look: takes the name of a mark, or a direction such as {heading: 120} or {yaw: 34, pitch: -4}, found 5',
    ],
    [
      'look: { yaw: 5, pich: 2 }',
      "keyframes[0].look.pich: is not a field here. Did you mean 'pitch'?",
    ],
    [
      'heading: 400',
      'keyframes[0].heading: takes a compass heading from 0 to 360 degrees (90 is east), found 400',
    ],
    [
      'look: boat, place: [2, 0.5]',
      'keyframes[0].place[0]: takes a share of the frame from 0 to 1, found 2',
    ],
    [
      'look: boat, place: top-left',
      "keyframes[0].place: takes centre, left-third, right-third, upper-third, lower-third, upper-left, upper-right, lower-left or lower-right, or a pair [from the left, from the top] of shares of the frame from 0 to 1, such as [0.4, 0.6], found 'top-left'. Did you mean 'upper-left'?",
    ],
  ])('%s', (fields, says) => {
    expect(problemsOf(sceneOf(`  - { at: 0, ${fields} }`, 'north: 0'))).toEqual([says]);
  });

  it.each([
    [
      '  mill: { yaw: 3, heading: 4 }',
      'marks.mill: takes a yaw or a heading, and a pitch: {yaw: 34, pitch: -4}; found both yaw and heading',
    ],
    ['  mill: { yaww: 3 }', "marks.mill.yaww: is not a field here. Did you mean 'yaw'?"],
    ['  mill: { yaw: 3, pitch: 91 }', 'marks.mill.pitch: takes degrees from -90 to 90, found 91'],
    [
      '  mill: 3',
      'marks.mill: takes a yaw or a heading, and a pitch: {yaw: 34, pitch: -4}, found 3',
    ],
    [
      '  "[x]": { yaw: 3 }',
      "marks.[x]: a mark's name takes up to 40 letters, digits, spaces, - and _, a letter or digit first, found '[x]'",
    ],
    [
      'north: up',
      "north: takes the yaw at which north lies, in degrees from -360 to 360, or 'master', found 'up'",
    ],
  ])('%s', (more, says) => {
    expect(problemsOf(sceneOf('  - { at: 0, look: boat }', more))).toEqual([says]);
  });

  it('is a look in a scene without marks', () => {
    const text = 'master: a.jpg\nduration: 1\nkeyframes: [{ at: 0, look: mill }]\n';
    expect(problemsOf(text)).toEqual([
      "keyframes[0].look: takes the name of a mark under marks:; this scene has none, found 'mill'",
    ]);
  });
});

describe('a look in a smooth loop', () => {
  it('meets its mark in every frame', () => {
    const text = `master: a.jpg
duration: 8
loop: true
path: smooth
outputs: [vertical, landscape]
marks: { mill: { yaw: 34, pitch: -4 }, sun: { yaw: 150, pitch: 10 } }
keyframes:
  - { at: 0, yaw: -60, fov: 70, roll: 4 }
  - { at: 2, look: mill, place: left-third }
  - { at: 4, fov: 50, fovSide: horizontal }
  - { at: 6, look: sun, place: upper-right }
`;
    const scene = parseScene(text, 'a.yaml');
    for (const output of scene.outputs) {
      const timeline = timelineOf(scene, output);
      for (const [at, name, wanted] of [
        [2, 'mill', [1 / 3, 1 / 2]],
        [6, 'sun', [2 / 3, 1 / 3]],
      ] as const) {
        const { yaw, pitch } = scene.marks.find((mark) => mark.name === name)!;
        const camera = resolveCamera(timeline.at(at), output.width, output.height);
        const place = placeIn(camera, directionOf(yaw, pitch))!;
        expect(place[0]).toBeCloseTo(wanted[0], 6);
        expect(place[1]).toBeCloseTo(wanted[1], 6);
      }
    }
  });
});
