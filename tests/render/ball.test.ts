import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Ball, ballPaths, meetBall } from '../../src/camera/ball.js';
import type { Camera } from '../../src/camera/types.js';
import { type Pixels, pixels } from '../../src/master/pixels.js';
import { projectionNames } from '../../src/projection/index.js';
import type { Ray } from '../../src/projection/types.js';
import { type GlContext, openContext } from '../../src/render/context.js';
import { exposuresOf } from '../../src/render/motion.js';
import { type Quality, SAMPLING } from '../../src/render/quality.js';
import { partsOf, type Region } from '../../src/render/regions.js';
import { directionAt, finestResolution } from '../../src/render/resolution.js';
import { readShader } from '../../src/render/shaders.js';
import { createSurveyor } from '../../src/render/survey.js';
import { angleBetween, randoms } from '../projection/support.js';
import { ballAt } from '../support/ball.js';
import { BLACK, drawFrame, upload, withRenderer } from '../support/gpu.js';
import { photo } from '../support/photos.js';
import { psnr, referenceFrame } from '../support/reference.js';
import { cameraFor, type View } from '../support/scenes.js';
import { answersOf, type Four, SIDE } from '../support/shader.js';
import { zonePlate } from '../support/zone-plate.js';

let context: GlContext;
beforeAll(async () => {
  context = await openContext();
});
afterAll(() => context.close());

/** Radians, as for the projections' rays. */
const TOLERANCE = 5e-5;
/** Radii from the centre: nearer to the rim single precision may err. */
const EDGE = 0.995;

const PATHS = [
  'ballReflected(at, 0.0)',
  'ballThrough(at, ballWithin(at), 0.0, 0.0)',
  'ballReturned(at, ballWithin(at), 0.0, 0.0)',
];

describe('GPU rays of a ball equal CPU rays', () => {
  it.each([
    ['mirror', 1.05, 1.5],
    ['mirror', 4, 1.5],
    ['mirror', 40, 1.5],
    ['glass', 1.05, 1.5],
    ['glass', 2, 1.5],
    ['glass', 6, 1.5],
    ['glass', 40, 1.33],
    ['glass', 3, 2.42],
    ['glass', 3, 0.75],
  ] as const)('%s at %d radii, index %d', (kind, distance, index) => {
    const ball = single(ballAt(kind, distance, { yaw: 130, pitch: -40, index }));
    const next = randoms(5);
    const rays = Array.from({ length: SIDE * SIDE }, () => {
      const spread = 1.8 / distance;
      const [x, y, z] = ball.direction.map((part) => part + (next() - 0.5) * spread);
      const length = Math.hypot(x!, y!, z!);
      return [x! / length, y! / length, z! / length, 0].map(Math.fround) as Four;
    });
    const uniforms = {
      ball: [...ball.direction, ball.distance],
      ballIndex: index,
      ballTint: [1, 1, 1],
    };
    const glass = kind === 'glass';
    for (const [path, turn] of PATHS.slice(0, glass ? 3 : 1).entries()) {
      const share = glass ? 'ballReflectance(at, ballWithin(at))' : '1.0';
      const functions = `
        ${glass ? '#define BALL_GLASS' : ''}
        ${readShader('common/ball.glsl')}
        vec4 answer(vec4 a, vec4 b) {
          BallMeeting at = ballMeeting(a.xyz);
          return vec4(ballDirection(at, ${turn}), at.inward > 0.0 ? ${share} : -1.0);
        }`;
      const found = answersOf(context, functions, rays, [], uniforms);
      let compared = 0;
      let worst = 0;
      for (const [i, [x, y, z]] of rays.entries()) {
        const ray: Ray = [x, y, z];
        const meeting = meetBall(ball, ray);
        const four = found[i]!;
        if (meeting === undefined) {
          if (beyond(ball, ray)) expect(four[3]).toBe(-1);
          continue;
        }
        if (meeting.offset > EDGE) continue;
        const expected = ballPaths(ball, ray);
        if (expected[path] === undefined) continue;
        compared++;
        expect(four[3]).toBeCloseTo(glass ? expected[0]!.share[0] : 1, 4);
        worst = Math.max(
          worst,
          angleBetween([four[0], four[1], four[2]], expected[path].direction),
        );
      }
      expect(worst).toBeLessThan(TOLERANCE);
      expect(compared).toBeGreaterThan(800);
    }
  });
});

/** What the GPU gets: rounded to single precision. */
const single = (ball: Ball): Ball => ({
  ...ball,
  direction: ball.direction.map(Math.fround) as unknown as Ray,
  distance: Math.fround(ball.distance),
});

/** Clearly past the rim. */
const beyond = (ball: Ball, ray: Ray): boolean =>
  angleBetween(ball.direction, ray) > Math.asin(1 / ball.distance) * 1.001;

const [WIDTH, HEIGHT] = [64, 40];
const REFERENCE_SIDE = 16;
const frame = (quality: Quality) => ({ width: WIDTH, height: HEIGHT, background: BLACK, quality });

describe('frames with a ball against a double-precision reference of 256 rays a pixel', () => {
  // Views that reach these dB without a ball; see frame.test.ts.
  const looking = { yaw: 170, pitch: -50, roll: 20 };
  const view: View = { projection: 'rectilinear', fov: 100, ...looking };
  const gold = [255, 217, 140, 255] as const;
  const balls: readonly (readonly [what: string, ball: Ball])[] = [
    ['a mirror', ballAt('mirror', 4, { yaw: 170, pitch: -53 })],
    ['a near golden mirror', ballAt('mirror', 2, { yaw: 180, pitch: -40, tint: gold })],
    ['glass', ballAt('glass', 4, { yaw: 175, pitch: -50 })],
    [
      'glass that magnifies, near, cut by the frame',
      ballAt('glass', 1.8, { yaw: 120, pitch: -45 }),
    ],
    ['a bubble', ballAt('glass', 3, { yaw: 165, pitch: -50, index: 0.75 })],
    ['of dense golden glass', ballAt('glass', 3, { yaw: 165, pitch: -50, index: 2.4, tint: gold })],
  ];
  let master: Pixels;

  const reaches = (view: View, ball: Ball, least: { final: number; best: number }) => {
    const texture = upload(context, master);
    const camera: Camera = { ...cameraFor(view, WIDTH, HEIGHT), ball };
    const reference = referenceFrame(master, camera, WIDTH, HEIGHT, REFERENCE_SIDE);
    for (const quality of ['final', 'best'] as const) {
      const drawn = drawFrame(context, texture, camera, frame(quality));
      expect(psnr(drawn, reference), quality).toBeGreaterThan(least[quality]);
    }
    texture.destroy();
  };

  // dB, as without a ball.
  describe.each([
    { name: 'dawn', final: 40, best: 50 },
    { name: 'zone plate', final: 24, best: 45 },
  ] as const)('on the $name', ({ name, ...least }) => {
    beforeAll(async () => {
      master = name === 'dawn' ? await photo(name) : zonePlate(1024);
    });
    it.each(balls)(`reaches ${least.final} dB, at best ${least.best}: %s`, (_, ball) => {
      reaches(view, ball, least);
    });
  });

  describe('on the park', () => {
    beforeAll(async () => {
      master = await photo('park');
    });
    it.each(projectionNames)('reaches 40 dB, at best 50, in %s', (projection) => {
      const fov = projection === 'rectilinear' ? 100 : 150;
      const ball = ballAt('glass', 3, { yaw: 165, pitch: -40 });
      reaches({ projection, fov, ...looking }, ball, { final: 40, best: 50 });
    });
  });

  it('draws the very frame of a scene without one when the ball is behind the camera', async () => {
    master = await photo('park');
    const texture = upload(context, master);
    const alone = cameraFor(view, WIDTH, HEIGHT);
    const ball = ballAt('glass', 4, { yaw: -10, pitch: 50 });
    for (const quality of ['draft', 'final', 'best'] as const) {
      const [without, behind] = [alone, { ...alone, ball }].map((camera) =>
        drawFrame(context, texture, camera, frame(quality)),
      );
      expect(behind).toEqual(without);
    }
    texture.destroy();
  });

  it('gives a draft that looks the same', async () => {
    master = await photo('dawn');
    const texture = upload(context, master);
    const camera = {
      ...cameraFor(view, WIDTH, HEIGHT),
      ball: ballAt('glass', 4, { yaw: 175, pitch: -50 }),
    };
    const drawn = drawFrame(context, texture, camera, frame('draft'));
    const reference = referenceFrame(master, camera, WIDTH, HEIGHT, 4);
    expect(psnr(drawn, reference)).toBeGreaterThan(25);
    texture.destroy();
  });

  it('is as bright as its white world: no light is lost or won', () => {
    const white = upload(context, pixels(64, 32, new Uint8Array(64 * 32 * 3).fill(200)));
    for (const [, ball] of balls) {
      if (ball.look.tint.some((code) => code < 255)) continue;
      const drawn = drawFrame(
        context,
        white,
        { ...cameraFor(view, WIDTH, HEIGHT), ball },
        frame('final'),
      );
      // Dither is just under half a code: a rounding error may show as one.
      const codes = drawn.filter((_, i) => i % 4 < 3);
      expect(codes.every((code) => Math.abs(code - 200) <= 1)).toBe(true);
      expect(codes.reduce((sum, code) => sum + code, 0) / codes.length).toBeCloseTo(200, 1);
    }
    white.destroy();
  });
});

describe('a moving ball', () => {
  const at = (seconds: number): Camera => ({
    ...cameraFor({ projection: 'rectilinear', fov: 60 }, WIDTH, HEIGHT),
    ball: ballAt('mirror', 4, { yaw: 40 * seconds }),
  });
  const shutter = { fps: 10, angle: 180 };
  const exposures = (cameraAt: (seconds: number) => Camera, quality: Quality) =>
    exposuresOf(cameraAt, 0, shutter, SAMPLING[quality], WIDTH, HEIGHT);

  it('is exposed as often as it moves, though the camera stands still', () => {
    // 2 degrees while the shutter is open, at about 0.6 pixels a degree in the middle of the frame.
    expect(exposures(at, 'final').length).toBeGreaterThanOrEqual(4);
    expect(exposures(() => at(0), 'final')).toHaveLength(1);
    const growing = (seconds: number): Camera => ({
      ...at(0),
      ball: ballAt('mirror', 4 - 10 * seconds),
    });
    expect(exposures(growing, 'final').length).toBeGreaterThanOrEqual(4);
  });

  it('is the mean of its instants', async () => {
    const master = await photo('park');
    const texture = upload(context, master);
    const fast = (seconds: number) => at(4 * seconds);
    const cameras = exposures(fast, 'best');
    expect(cameras.length).toBeGreaterThan(100);
    const light = new Float64Array(WIDTH * HEIGHT * 4);
    const sampled = cameras.filter((_, i) => i % 16 === 8);
    for (const camera of sampled) {
      const one = referenceFrame(master, camera, WIDTH, HEIGHT, 4);
      for (const [i, code] of one.entries()) light[i]! += (code / 255) ** 2.2 / sampled.length;
    }
    const expected = Uint8Array.from(light, (value) => Math.round(255 * value ** (1 / 2.2)));
    const drawn = new Uint8Array(WIDTH * HEIGHT * 4);
    withRenderer(context, texture, frame('best'), (renderer) => {
      renderer.draw(cameras);
      renderer.read('rgba', drawn);
    });
    expect(psnr(drawn, expected)).toBeGreaterThan(40);
    texture.destroy();
  });
});

describe('the regions that a ball touches', () => {
  const [width, height] = [1080, 1920];
  const layout = (maxTextureSize: number, master: Pixels) =>
    upload({ ...context, info: { ...context.info, maxTextureSize } }, master);
  const regionAt = (regions: readonly Region[], x: number, y: number) =>
    regions.find((r) => x >= r.x && x < r.x + r.width && y >= r.y && y < r.y + r.height)!;

  it.each(projectionNames)(
    'hold every pixel of it in %s, and no others pay',
    async (projection) => {
      const master = await photo('park');
      const texture = layout(200, master);
      const next = randoms(3);
      const fov = projection === 'rectilinear' ? 100 : 170;
      for (const distance of [1.2, 5, 20]) {
        const ball = ballAt('glass', distance, { yaw: 25, pitch: 10 });
        const camera = {
          ...cameraFor({ projection, fov, yaw: 10, roll: 30 }, width, height),
          ball,
        };
        const sorting = { unshrunk: 2.5, cubic: true, tolerance: 0.15, mesh: true };
        const survey = createSurveyor(width, height)(camera);
        const { regions } = partsOf(camera, survey, width, height, texture.layout, sorting);
        let hits = 0;
        for (let i = 0; i < 8_000; i++) {
          const [x, y] = [next() * width, next() * height];
          const ray = directionAt(camera, (2 * x) / width - 1, 1 - (2 * y) / height);
          if (meetBall(ball, ray) === undefined) continue;
          hits++;
          const region = regionAt(regions, x, y);
          expect(region.ball && region.minified && region.tile === undefined).toBe(true);
        }
        expect(hits).toBeGreaterThan(0);
        const paying = regions.filter((region) => region.ball);
        const share = paying.reduce((sum, r) => sum + r.width * r.height, 0) / (width * height);
        if (distance === 20) expect(share).toBeLessThan(0.2);
      }
      texture.destroy();
    },
  );

  it('show the same on many pages as on one', async () => {
    const master = await photo('park');
    const [whole, tiled] = [layout(16384, master), layout(200, master)];
    const ball = ballAt('glass', 4, { yaw: 175, pitch: -20 });
    const camera = {
      ...cameraFor({ projection: 'rectilinear', fov: 60, yaw: 170, pitch: -20 }, 128, 128),
      ball,
    };
    const [a, b] = [whole, tiled].map((texture) =>
      drawFrame(context, texture, camera, { ...frame('final'), width: 128, height: 128 }),
    ) as [Uint8Array, Uint8Array];
    expect(Math.max(...a.map((value, i) => Math.abs(value - b[i]!)))).toBeLessThanOrEqual(1);
    whole.destroy();
    tiled.destroy();
  });

  it('a near glass ball magnifies what a draft must show', () => {
    const view = cameraFor({ projection: 'rectilinear', fov: 60 }, width, height);
    const finest = (ball?: Ball) =>
      finestResolution(ball === undefined ? view : { ...view, ball }, width, height);
    expect(finest(ballAt('mirror', 1.5))).toBe(finest());
    expect(finest(ballAt('glass', 4))).toBe(finest());
    // In its middle 1 - 2 d (1 - 1/n) = -1/3 of the view's turn.
    expect(finest(ballAt('glass', 2)) / finest()).toBeCloseTo(3, 9);
    expect(finest(ballAt('glass', 1.5)) / finest()).toBeCloseTo(4, 9);
  });
});
