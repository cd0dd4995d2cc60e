import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { shapeTakes } from '../../src/scene/shapes.js';
import { SHORT_SCENE, workFolder } from './support.js';

describe('orbreel check', () => {
  const folder = workFolder();

  it('tells what is in a scene', async () => {
    await folder.write(
      'turn.yaml',
      `master: master.png
duration: 3
outputs: [64x32, square, sphere]
keyframes:
  - { at: 0, yaw: 10, fov: 80, projection: panini, ease: linear }
  - { at: 50%, pitch: 5 }
  - { at: 2, yaw: 100, pitch: 5 }
`,
    );
    // 90 degrees of yaw, evenly, in two seconds.
    const { code, stdout, stderr } = await folder.run(['check', 'turn.yaml']);
    expect([code, stderr]).toEqual([0, '']);
    expect(stdout).toBe(`turn.yaml
  master    master.png
  duration  3 s
  frames    90 at 30 frames per second

64x32
square 1080x1080
  at     yaw   pitch  roll  fov         projection
  0 s    10    5      0     80 shorter  panini (distance 1)
  1.5 s  77.5  5      0     80 shorter  panini (distance 1)
  2 s    100   5      0     80 shorter  panini (distance 1)
  fastest turn: 45 degrees per second, at 0 s

sphere 3840x1920
  at     yaw   pitch  roll  fov             projection
  0 s    10    5      0     360 horizontal  equirectangular
  1.5 s  77.5  5      0     360 horizontal  equirectangular
  2 s    100   5      0     360 horizontal  equirectangular
  fastest turn: 45 degrees per second, at 0 s
`);
  });

  it('tells how the time of a scene runs, and that it loops', async () => {
    await folder.write(
      'round.yaml',
      `master: master.png
duration: 4
timing: ping-pong
loop: true
outputs: [square]
keyframes:
  - { at: 0, yaw: 0, ease: linear }
  - { at: 100%, yaw: 20 }
`,
    );
    const { code, stdout, stderr } = await folder.run(['check', 'round.yaml']);
    expect([code, stderr]).toEqual([0, '']);
    expect(stdout).toBe(`round.yaml
  master      master.png
  duration    4 s
  own length  2 s
  loop        the end flows into the start
  frames      120 at 30 frames per second

square 1080x1080
  at   yaw  pitch  roll  fov         projection
  0 s  0    0      0     90 shorter  rectilinear
  2 s  20   0      0     90 shorter  rectilinear
  fastest turn: 10 degrees per second, at 0 s
`);
  });

  it('tells when each of several shots begins and how it follows', async () => {
    await folder.write('short.yaml', SHORT_SCENE);
    await folder.write(
      'shots.yaml',
      `outputs: [64x32]
shots:
  - { master: master.png, duration: 3, keyframes: [{ at: 0, yaw: 10 }] }
  - { scene: short.yaml, transition: { dissolve: 0.1 } }
  - { master: master.png, duration: 7, transition: { planet: 0.2, turns: -1 }, keyframes: [{ at: 0 }] }
`,
    );
    const { code, stdout, stderr } = await folder.run(['check', 'shots.yaml']);
    expect([code, stderr]).toEqual([0, '']);
    const speed = /turn: [\d.]+ degrees per second, at [\d.]+ s/gu;
    const [summary = '', warnings] = stdout.split('\nwarnings\n');
    // Far too short for a planet, which is told with the shot that it leads to.
    expect(warnings).toMatch(/^ {2}shot 3, shots\[2\]\.transition: turns at up to \d+ degrees/mu);
    expect(warnings).not.toMatch(/ instead of 7 s/u);
    const shown = summary.replace(speed, 'turn: N degrees per second, at T s');
    expect(shown).toBe(`shots.yaml
  duration  10.1 s
  frames    303 at 30 frames per second

  shot  from   to      transition                master
  1     0 s    3 s                               master.png
  2     2.9 s  3.3 s   dissolve of 0.1 s         master.png
  3     3.1 s  10.1 s  planet of 0.2 s, -1 turn  master.png

Shot 1

64x32
  at   yaw  pitch  roll  fov         projection
  0 s  10   0      0     90 shorter  rectilinear
  fastest turn: none

Shot 2 from short.yaml

64x32
  at     yaw  pitch  roll  fov          projection
  0 s    0    -90    0     300 shorter  stereographic
  0.3 s  90   0      0     80 shorter   rectilinear
  fastest turn: N degrees per second, at T s

Shot 3

64x32
  at   yaw  pitch  roll  fov         projection
  0 s  0    0      0     90 shorter  rectilinear
  fastest turn: none
`);
    const json = await folder.run(['check', 'shots.yaml', '--json']);
    expect(JSON.parse(json.stdout)).toMatchObject({
      duration: expect.closeTo(10.1, 9),
      frames: 303,
      shots: [
        { start: 0, duration: 3 },
        {
          start: expect.closeTo(2.9, 9),
          file: folder.file('short.yaml'),
          transition: { kind: 'dissolve' },
        },
        {
          start: expect.closeTo(3.1, 9),
          transition: { kind: 'planet', duration: 0.2, turns: -1, fov: 240 },
        },
      ],
    });
  });

  it('prints JSON', async () => {
    await folder.write('short.yaml', SHORT_SCENE);
    const { code, stdout, stderr } = await folder.run(['check', 'short.yaml', '--json']);
    expect([code, stderr]).toEqual([0, '']);
    expect(JSON.parse(stdout)).toMatchObject({
      name: 'short',
      duration: 0.4,
      fps: 10,
      frames: 4,
      shots: [
        {
          start: 0,
          master: folder.file('master.png'),
          outputs: [{ shape: '64x32', width: 64, height: 32, keyframes: [{ at: 0 }, { at: 0.3 }] }],
        },
      ],
    });
  });

  it('warns, and ends well, where a mark that is looked at leaves the safe area', async () => {
    await folder.write(
      'marks.yaml',
      `master: master.png
duration: 3
outputs: [square]
marks: { mill: { yaw: 30 } }
keyframes:
  - { at: 0, look: mill, place: [0.5, 0.95] }
  - { at: 3, yaw: 90, pitch: 0 }
`,
    );
    const message = 'mill lies outside the safe area of square at the bottom, at 0 s';
    const { code, stdout, stderr } = await folder.run(['check', 'marks.yaml']);
    expect([code, stderr]).toEqual([0, '']);
    expect(stdout).toContain(
      '  at   yaw  pitch  roll  fov         projection   looks at\n' +
        '  0 s  30   42     0     90 shorter  rectilinear  mill, [0.5, 0.95]\n' +
        '  3 s  90   0      0     90 shorter  rectilinear\n',
    );
    expect(stdout).toMatch(
      new RegExp(`\n\nwarnings\n  keyframes\\[0\\]\\.look: ${message}\n$`, 'u'),
    );
    const json = await folder.run(['check', 'marks.yaml', '--json']);
    expect(json.code).toBe(0);
    expect(JSON.parse(json.stdout).shots[0].warnings).toEqual([
      { path: 'keyframes[0].look', message, from: 0, to: 0 },
    ]);
    expect(await folder.run(['check', 'marks.yaml', '--quiet'])).toEqual({
      code: 0,
      stdout: '',
      stderr: '',
    });
  });

  it('warns of what turns too fast and, when asked, of what flashes', async () => {
    await folder.write(
      'quick.yaml',
      `master: master.png
duration: 2
fps: 20
outputs: [64x32]
keyframes:
  - { at: 0, yaw: 0, ease: linear }
  - { at: 1, yaw: 90 }
`,
    );
    const { code, stdout } = await folder.run(['check', 'quick.yaml', '--flashes']);
    expect(code).toBe(0);
    expect(stdout).toMatch(
      /\n\nwarnings\n {2}keyframes\[0\]: turns at up to 90 degrees a second \(at 0 s\), above our limit of 60: give it 1\.5 s instead of 1 s, or a gentler ease\n$/u,
    );
    const json = await folder.run(['check', 'quick.yaml', '--flashes', '--json']);
    expect(JSON.parse(json.stdout)).toMatchObject({
      flashes: [],
      shots: [{ warnings: [{ path: 'keyframes[0]', from: 0, to: 1 }] }],
    });
  });

  it('looks at overlays too', async () => {
    await folder.write(
      'title.yaml',
      'master: master.png\nduration: 1\noverlays: [{ image: none.png }]\nkeyframes: [{ at: 0 }]\n',
    );
    const { code, stderr } = await folder.run(['check', 'title.yaml']);
    expect(code).toBe(2);
    expect(stderr).toContain('overlays[0].image: ');
    expect(stderr).toContain('none.png there is no such file');
  });

  it("takes north from the master's own heading", async () => {
    await folder.write(
      'north.yaml',
      'master: north.png\nduration: 1\nkeyframes: [{ at: 0, heading: 90 }]\n',
    );
    const xmp = `<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description rdf:about="" xmlns:GPano="http://ns.google.com/photos/1.0/panorama/" GPano:ProjectionType="equirectangular" GPano:PoseHeadingDegrees="250"/></rdf:RDF></x:xmpmeta>`;
    await sharp(folder.file('master.png')).withXmp(xmp).toFile(folder.file('north.png'));
    const { code, stdout, stderr } = await folder.run(['check', 'north.yaml', '--json']);
    expect([code, stderr]).toEqual([0, '']);
    // The centre faces 250, so east lies 160 degrees to its left.
    expect(JSON.parse(stdout).shots[0].outputs[0].keyframes[0].yaw).toBeCloseTo(-160, 9);

    await folder.write(
      'lost.yaml',
      'master: master.png\nduration: 1\nkeyframes: [{ at: 0, heading: 90 }]\n',
    );
    expect(await folder.run(['check', 'lost.yaml'])).toEqual({
      code: 2,
      stdout: '',
      stderr:
        "lost.yaml:3:31: keyframes[0].heading: needs north, and the master does not say its centre's heading; write north: and the yaw at which north lies\n",
    });
  });

  it('prints nothing about a right scene with --quiet', async () => {
    await folder.write('short.yaml', SHORT_SCENE);
    const ended = await folder.run(['check', 'short.yaml', '--quiet']);
    expect(ended).toEqual({ code: 0, stdout: '', stderr: '' });
  });

  it('tells every mistake in one go, each with its place and path', async () => {
    await folder.write(
      'wrong.yaml',
      `master: master.png
duration: 4
outputs: [64x32]
keyframes:
  - { at: 0, yaww: 10, projection: stereographic, fov: 300 }
  - { at: 5, pitch: up }
`,
    );
    const ended = await folder.run(['check', 'wrong.yaml', '--json']);
    expect([ended.code, ended.stderr]).toEqual([
      2,
      `wrong.yaml:5:14: keyframes[0].yaww: is not a field here. Did you mean 'yaw'?
wrong.yaml:6:11: keyframes[1].at: takes a time from 0 to the duration, 4 s, found 5 s
wrong.yaml:6:21: keyframes[1].pitch: takes degrees from -3600 to 3600, found 'up'
`,
    ]);
    const { problems } = JSON.parse(ended.stdout);
    expect(problems[0]).toEqual({
      place: 'wrong.yaml:5:14',
      path: 'keyframes[0].yaww',
      message: "is not a field here. Did you mean 'yaw'?",
    });
  });

  it.each([
    [['none.yaml'], 'none.yaml: there is no such file\n'],
    [
      ['master.png'],
      "master.png: is a PNG picture; a scene is a text file; 'orbreel new NAME --master FILE' writes one to start from\n",
    ],
    [
      ['none.yaml', '--shape', 'squre'],
      `--shape: ${shapeTakes}, found 'squre'. Did you mean 'square'?\n`,
    ],
  ])('%j is wrong input', async (words, stderr) => {
    expect(await folder.run(['check', ...words])).toEqual({ code: 2, stdout: '', stderr });
  });
});
