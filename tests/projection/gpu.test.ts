import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { blendRays } from '../../src/projection/blend.js';
import { findLens, projectionNames } from '../../src/projection/index.js';
import type { Landing, PlanePoint, ProjectionParams, Ray } from '../../src/projection/types.js';
import { type GlContext, openContext } from '../../src/render/context.js';
import { readShader } from '../../src/render/shaders.js';
import { answersOf, type Four, SIDE } from '../support/shader.js';
import { angleBetween, paramSets, randoms } from './support.js';

/** Radians: 1/15 of an 8K master's pixel. */
const TOLERANCE = 5e-5;
/** Plane units, as a part of the radius, from the domain's edge: there single precision may err. */
const EDGE = 1e-5;

/** How far the tried square of the plane reaches: beyond the domain's edge where there is one. */
const REACH: Record<string, number> = {
  rectilinear: 15,
  stereographic: 40,
  'mirror-ball': 1.2,
  equidistant: 3.7,
  'equal-area': 2.3,
  orthographic: 1.2,
  cylindrical: 4,
  panini: 20,
  equirectangular: 3.6,
  perspective: 40,
};

let context: GlContext;
beforeAll(async () => {
  context = await openContext();
});
afterAll(() => context.close());

const lensFile = (name: string) => readShader(`projections/${name}.glsl`);

const onGpu = (functions: string, first: Four[], second: Four[], params: Four = [0, 0, 0, 0]) =>
  answersOf(context, functions, first, second, { params });
const camelCase = (name: string) =>
  name.replace(/-(\w)/g, (_, letter: string) => letter.toUpperCase());

/** A grid over the square and, between, random points and some on the axes; in single precision. */
function pointsWithin(reach: number): PlanePoint[] {
  const next = randoms(99);
  return Array.from({ length: SIDE * SIDE }, (_, index): PlanePoint => {
    const grid = [index % SIDE, Math.floor(index / SIDE)].map((i) => (2 * i) / (SIDE - 1) - 1);
    const at = index % 3 === 0 ? [2 * next() - 1, 2 * next() - 1] : grid;
    return [Math.fround(at[0]! * reach), Math.fround(at[1]! * reach)];
  });
}

const asFour = ([x, y]: PlanePoint): Four => [x, y, 0, 0];

function paramsOf(name: string, params: ProjectionParams): Four {
  const { params: infos } = findLens(name);
  const values = infos.map((info) => Math.fround(params[info.name] ?? info.default));
  return [...values, 0, 0, 0, 0].slice(0, 4) as Four;
}

/** What the CPU says of a point; undefined within EDGE of the domain's edge. */
function landingAt(name: string, point: PlanePoint, params: ProjectionParams): Landing | undefined {
  const land = (scale: number) =>
    findLens(name).toRay([point[0] * scale, point[1] * scale], params);
  return land(1 - EDGE).inside === land(1 + EDGE).inside ? land(1) : undefined;
}

const rayOf = (four: Four): Ray => [four[0], four[1], four[2]];

const cases = [...projectionNames, 'perspective'].flatMap((name) =>
  paramSets(name).map((params) => ({ name, params })),
);

describe('GPU rays equal CPU rays', () => {
  it.each(cases)('$name $params', ({ name, params }) => {
    const points = pointsWithin(REACH[name]!);
    const single = Object.fromEntries(
      Object.entries(params).map(([key, value]) => [key, Math.fround(value)]),
    );
    const functions = `${lensFile(name)}
      vec4 answer(vec4 a, vec4 b) { return ${camelCase(name)}Ray(a.xy, params); }`;
    const found = onGpu(functions, points.map(asFour), [], paramsOf(name, params));
    let worst = 0;
    let compared = 0;
    let outside = 0;
    points.forEach((point, index) => {
      const expected = landingAt(name, point, single);
      if (expected === undefined) return;
      compared++;
      if (!expected.inside) outside++;
      const four = found[index]!;
      expect(four[3] > 0).toBe(expected.inside);
      expect(Math.abs(Math.hypot(...rayOf(four)) - 1)).toBeLessThan(1e-6);
      worst = Math.max(worst, angleBetween(rayOf(four), expected.ray));
    });
    report(`${name} ${JSON.stringify(params)}`, worst);
    expect(worst).toBeLessThan(TOLERANCE);
    expect(compared).toBeGreaterThan(points.length * 0.98);
    const endless = ['rectilinear', 'stereographic', 'panini', 'perspective'].includes(name);
    expect(outside > 100).toBe(!endless);
  });
});

describe('GPU blends equal CPU blends', () => {
  it.each([
    ['rectilinear', 'mirror-ball', 0.3],
    ['equirectangular', 'stereographic', 0.5],
    ['mirror-ball', 'mirror-ball', 0.75],
    ['panini', 'orthographic', 1],
    ['equidistant', 'cylindrical', 0],
  ])('%s to %s at %d', (from, to, share) => {
    const points = pointsWithin(1);
    const scale = (name: string) => Math.fround(name === from ? REACH[name]! : REACH[name]! * 0.9);
    const scaled = (name: string) =>
      points.map(
        ([x, y]): PlanePoint => [Math.fround(x * scale(name)), Math.fround(y * scale(name))],
      );
    const [starts, ends] = [scaled(from), scaled(to)];
    const files = [...new Set([from, to])].map(lensFile).join('\n');
    const functions = `${files}\n${readShader('common/blend.glsl')}
      vec4 answer(vec4 a, vec4 b) {
        vec4 lens = vec4(1.0, 0.0, 0.0, 0.0);
        return blendRays(
          lensCoverage(${camelCase(from)}Ray(a.xy, lens), 1e-9),
          lensCoverage(${camelCase(to)}Ray(b.xy, lens), 1e-9),
          params.x
        );
      }`;
    const found = onGpu(functions, starts.map(asFour), ends.map(asFour), [share, 0, 0, 0]);
    let worst = 0;
    let compared = 0;
    points.forEach((_, index) => {
      const start = landingAt(from, starts[index]!, {});
      const end = landingAt(to, ends[index]!, {});
      expect(found[index]!.every(Number.isFinite)).toBe(true);
      if (start === undefined || end === undefined) return;
      // Next to opposite rays every way is a great circle: direction is noise there.
      if (angleBetween(start.ray, end.ray) > Math.PI - 0.05) return;
      compared++;
      const expected = blendRays(start, end, Math.fround(share));
      expect(found[index]![3]).toBeCloseTo(expected.coverage, 6);
      worst = Math.max(worst, angleBetween(rayOf(found[index]!), expected.ray));
    });
    report(`blend ${from} ${to}`, worst);
    expect(worst).toBeLessThan(TOLERANCE);
    expect(compared).toBeGreaterThan(points.length * 0.9);
  });

  it('is finite and of unit length for equal, almost equal, opposite and almost opposite rays', () => {
    const rays: Ray[] = [
      [0, 0, -1],
      [0, 1, 0],
      [1, 0, 0],
      [0.6, 0, 0.8],
      [0, -0.6, -0.8],
    ];
    const nudges = [0, 1e-7, 1e-6, 1e-5, 1e-4, 1e-3];
    const pairs = rays.flatMap((ray) =>
      [1, -1].flatMap((sign) =>
        nudges.map((nudge): [Four, Four] => [
          [...ray, 1],
          [sign * ray[0] + nudge, sign * ray[1] - nudge, sign * ray[2], 0],
        ]),
      ),
    );
    const functions = `${readShader('common/blend.glsl')}
      vec4 answer(vec4 a, vec4 b) {
        return blendRays(a, vec4(normalize(b.xyz), b.w), params.x);
      }`;
    for (const share of [0, 0.25, 0.5, 1]) {
      const [first, second] = [pairs.map(([a]) => a), pairs.map(([, b]) => b)];
      const found = onGpu(functions, first, second, [share, 0, 0, 0]);
      pairs.forEach(([from, to], index) => {
        const ray = rayOf(found[index]!);
        expect(Math.abs(Math.hypot(...ray) - 1)).toBeLessThan(1e-6);
        const length = Math.hypot(...rayOf(to));
        const end = rayOf(to).map((part) => part / length) as unknown as Ray;
        const whole = angleBetween(rayOf(from), end);
        expect(Math.abs(angleBetween(rayOf(from), ray) - whole * share)).toBeLessThan(TOLERANCE);
      });
    }
  });
});

describe('angles by polynomials', () => {
  it('angleAtan2 is atan2 to 1e-6 rad in every quadrant', () => {
    const next = randoms(4);
    const pairs = Array.from({ length: SIDE * SIDE }, (_, index): Four => {
      const angle = (index / (SIDE * SIDE)) * 2 * Math.PI - Math.PI;
      const size = 10 ** (8 * next() - 6);
      return [Math.fround(size * Math.sin(angle)), Math.fround(size * Math.cos(angle)), 0, 0];
    });
    const special = [
      [0, 0],
      [0, 1],
      [0, -1],
      [1, 0],
      [-1, 0],
      [1, 1],
      [-1, -1],
      [1e-20, -1],
    ];
    special.forEach(([y, x], index) => {
      pairs[index] = [y!, x!, 0, 0];
    });
    const functions = 'vec4 answer(vec4 a, vec4 b) { return vec4(angleAtan2(a.x, a.y)); }';
    const found = onGpu(functions, pairs, []);
    const worst = Math.max(
      ...pairs.map(([y, x], index) => Math.abs(found[index]![0] - Math.atan2(y, x))),
    );
    report('angleAtan2', worst);
    expect(worst).toBeLessThan(1e-6);
  });

  it('angleCosSin is cosine and sine to 5e-7 from -pi to pi', () => {
    const angles = Array.from({ length: SIDE * SIDE }, (_, index): Four => {
      return [Math.fround((index / (SIDE * SIDE - 1)) * 2 * Math.PI - Math.PI), 0, 0, 0];
    });
    const functions = 'vec4 answer(vec4 a, vec4 b) { return vec4(angleCosSin(a.x), 0.0, 0.0); }';
    const found = onGpu(functions, angles, []);
    const worst = Math.max(
      ...angles.map(([angle], index) =>
        Math.hypot(found[index]![0] - Math.cos(angle), found[index]![1] - Math.sin(angle)),
      ),
    );
    report('angleCosSin', worst);
    expect(worst).toBeLessThan(5e-7);
  });
});

/** Set ORBREEL_TEST_REPORT to see the largest differences. */
function report(what: string, radians: number): void {
  if (process.env.ORBREEL_TEST_REPORT) console.info(`${what}: ${radians.toExponential(2)} rad`);
}
