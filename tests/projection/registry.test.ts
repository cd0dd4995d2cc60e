import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import {
  findLens,
  findProjection,
  projectionNames,
  projections,
} from '../../src/projection/index.js';

const filesOf = (folder: string, ending: string) =>
  readdirSync(new URL(`../../${folder}/`, import.meta.url))
    .filter((file) => file.endsWith(ending))
    .map((file) => file.slice(0, -ending.length))
    .sort();

const read = (path: string) => readFileSync(new URL(`../../${path}`, import.meta.url), 'utf8');

/** The morphs' own projection has files like the registered ones. */
const all = [...projectionNames, 'perspective'].sort();

const camelCase = (name: string) =>
  name.replace(/-(\w)/g, (_, letter: string) => letter.toUpperCase());

describe('the registry of projections', () => {
  it('names each once', () => {
    expect(new Set(projectionNames).size).toBe(projections.length);
    expect(projectionNames).toEqual([
      'rectilinear',
      'stereographic',
      'mirror-ball',
      'equidistant',
      'equal-area',
      'orthographic',
      'cylindrical',
      'panini',
      'equirectangular',
    ]);
  });

  it('lists every TypeScript file that defines one', () => {
    const defining = filesOf('src/projection', '.ts').filter((file) =>
      read(`src/projection/${file}.ts`).includes(`name: '${file}',\n  title:`),
    );
    expect(defining).toEqual(all);
  });

  it('has one GLSL file for each and no other', () => {
    expect(filesOf('shaders/projections', '.glsl')).toEqual(all);
  });

  it.each(all)('%s: the GLSL file defines its function and nothing else', (name) => {
    const glsl = read(`shaders/projections/${name}.glsl`).replace(/\/\/.*/g, '');
    expect(glsl).toContain(`vec4 ${camelCase(name)}Ray(vec2 point, vec4 params) {`);
    expect(glsl.match(/^\w+ \w+\(/gm)).toHaveLength(1);
    expect(glsl).not.toMatch(/\b(asin|acos|atan|dFdx|dFdy|sin|cos)\(/);
  });

  it('finds by name, and hides the one that only morphs use', () => {
    for (const projection of projections) {
      expect(findProjection(projection.name)).toBe(projection);
      expect(findLens(projection.name)).toBe(projection);
    }
    expect(findProjection('perspective')).toBeUndefined();
    expect(findLens('perspective').name).toBe('perspective');
    expect(findProjection('tin-can')).toBeUndefined();
    expect(() => findLens('tin-can')).toThrow('There is no projection tin-can.');
  });

  it.each(projections)('$name says what it is', (projection) => {
    for (const words of ['title', 'formula', 'goodFor', 'source'] as const) {
      expect(projection[words].length).toBeGreaterThan(4);
    }
    expect(projection.params.length).toBeLessThanOrEqual(4);
    for (const param of projection.params) {
      expect(param.default).toBeGreaterThanOrEqual(param.min);
      expect(param.default).toBeLessThanOrEqual(param.max);
    }
  });
});
