import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { comfortWarnings } from '../../src/comfort/warnings.js';
import { moveNames } from '../../src/moves/index.js';
import { projectionNames } from '../../src/projection/index.js';
import { sceneJsonSchema } from '../../src/scene/json-schema.js';
import { parseScene, parseSequence } from '../../src/scene/parse.js';
import { shapeNames } from '../../src/scene/shapes.js';
import { starterScene } from '../../src/scene/starter.js';
import { summarise, summariseSequence } from '../../src/scene/summary.js';

const scenes = new URL('../../scenes/', import.meta.url);
const read = (name: string): string => readFileSync(new URL(name, scenes), 'utf8');
const names = readdirSync(scenes).filter((name) => name.endsWith('.yaml'));

/** Degrees per second. No standard sets a limit to turning: this one is our choice. */
const COMFORTABLE = 60;

describe('shipped scenes', () => {
  it('are there', () => {
    expect(names).toEqual(
      expect.arrayContaining(['intro.yaml', 'marks.yaml', 'planet-stills.yaml', 'reframe.yaml']),
    );
  });

  for (const name of names) {
    it(`${name} is right, and begins by saying what it shows`, () => {
      const text = read(name);
      expect(text).toMatch(
        /^# yaml-language-server: \$schema=\.\/scene\.schema\.json\n#\n# [A-Z][^\n]+\n/u,
      );
      expect(() => parseSequence(text, `scenes/${name}`)).not.toThrow();
    });
  }

  it.each([
    ...['intro.yaml', 'marks.yaml', 'reframe.yaml'],
    ...['smooth-path.yaml', 'loop.yaml', 'timing.yaml', 'shots.yaml', 'moves.yaml'],
  ])('%s turns at a comfortable speed', (name) => {
    const { shots } = summariseSequence(parseSequence(read(name), name));
    for (const output of shots.flatMap(({ outputs }) => outputs)) {
      expect(output.fastestTurn.degreesPerSecond).toBeLessThan(COMFORTABLE);
    }
  });

  it.each(moveNames)(
    'moves/%s.yaml shows that move, at a comfortable speed, in a sentence',
    (name) => {
      const text = read(`moves/${name}.yaml`);
      expect(text).toMatch(
        new RegExp(
          `^# yaml-language-server: \\$schema=\\.\\./scene\\.schema\\.json\n#\n# The move ${name}[:,]`,
        ),
      );
      expect(text).toMatch(new RegExp(`^ {2}- (\\{ move: )?${name}\\b`, 'mu'));
      expect(text).not.toContain('keyframes');
      const scene = parseSequence(text, `scenes/moves/${name}.yaml`);
      expect(comfortWarnings(scene)).toEqual([]);
    },
  );

  it('marks.yaml keeps its marks in the safe area of every shape', () => {
    const scene = parseScene(read('marks.yaml'), 'marks.yaml');
    expect(scene.outputs.length).toBeGreaterThan(2);
    expect(scene.marks.length).toBeGreaterThan(2);
    expect(summarise(scene).warnings).toEqual([]);
  });

  it('the demo is 8 seconds, vertical, 30 frames per second', () => {
    expect(summarise(parseScene(read('intro.yaml'), 'intro.yaml'))).toMatchObject({
      duration: 8,
      fps: 30,
      frames: 240,
      outputs: [{ shape: 'vertical', width: 1080, height: 1920 }],
    });
  });
});

describe("the scene file's JSON Schema", () => {
  it('is the one shipped; if not, run: npx tsx tests/scene/write-schema.ts', () => {
    expect(JSON.parse(read('scene.schema.json'))).toEqual(
      JSON.parse(JSON.stringify(sceneJsonSchema())),
    );
  });

  it('lets editors complete every projection and every shape', () => {
    const text = JSON.stringify(sceneJsonSchema());
    expect(text).toContain(JSON.stringify({ type: 'string', enum: projectionNames }));
    expect(text).toContain(JSON.stringify({ type: 'string', enum: shapeNames }));
  });

  it('has a title and a description for every field', () => {
    const bare: string[] = [];
    const visit = (node: unknown, path: string): void => {
      if (typeof node !== 'object' || node === null) return;
      for (const [name, field] of Object.entries(
        (node as { properties?: object }).properties ?? {},
      )) {
        const { title, description, const: constant } = field as Record<string, unknown>;
        const param = path.includes('projection');
        if (constant === undefined && (!description || (!title && !param)))
          bare.push(`${path}.${name}`);
      }
      for (const [name, child] of Object.entries(node)) visit(child, `${path}.${name}`);
    };
    visit(sceneJsonSchema(), '');
    expect(bare).toEqual([]);
  });
});

describe('the starter scene', () => {
  it.each([
    ['valley', 'valley.jpg'],
    ['two\nlines', '../my pictures/Sunrise: first #1.jpg'],
    ['windows', 'D:\\panoramas\\valley.jpg'],
    ['signs', '@"\'{x}.jpg'],
  ])('%j with the master %j is right as it is', (name, master) => {
    const text = starterScene(name, master);
    const scene = parseScene(text, '/scenes/starter.yaml');
    expect(scene).toMatchObject({ duration: 8, fps: 30, outputs: [{ shape: 'vertical' }] });
    expect(scene.master.endsWith(master.replace(/^\.\.\//u, ''))).toBe(true);
    const [first, last] = [scene.keyframes[0], scene.keyframes.at(-1)];
    expect(first).toMatchObject({ pitch: -90, fov: 300, projection: { name: 'stereographic' } });
    expect(last).toMatchObject({ pitch: 0, projection: { name: 'rectilinear' } });
  });
});
