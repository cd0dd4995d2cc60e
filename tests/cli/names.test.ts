import { resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import { clipDeliveries, shown, stillDeliveries } from '../../src/cli/names.js';
import { sequenceOf } from '../../src/scene/sequence.js';
import type { Output, Sequence } from '../../src/scene/types.js';

const output = (shape: string, file?: string): Output => ({
  shape,
  width: 64,
  height: 32,
  background: { kind: 'blur' },
  keyframes: [],
  ...(file === undefined ? {} : { file }),
});

const scene = (...outputs: Output[]): Sequence =>
  sequenceOf('/a/intro.yaml', [
    {
      file: '/a/intro.yaml',
      name: 'intro',
      master: '/a/m.jpg',
      duration: 1,
      shutter: 0,
      sharpen: 0,
      fps: 30,
      background: { kind: 'blur' },
      marks: [],
      keyframes: [],
      overlays: [],
      sound: { own: true },
      outputs,
    },
  ]);

const files = (out: string | undefined, ...outputs: Output[]) =>
  clipDeliveries(scene(...outputs), out).map(({ file }) => file);

describe('names of clips', () => {
  it.each([
    ['a.mp4', ['a-vertical.mp4', 'a-square.mp4']],
    ['b/a.tar.webm', ['b/a.tar-vertical.webm', 'b/a.tar-square.webm']],
    ['frames/', ['frames-vertical/', 'frames-square/']],
    ['frames/f-%05d.png', ['frames/f-vertical-%05d.png', 'frames/f-square-%05d.png']],
    [undefined, ['intro-vertical.mp4', 'intro-square.mp4']],
  ])('--out %s and two shapes', (out, expected) => {
    expect(files(out, output('vertical'), output('square'))).toEqual(expected);
  });

  it('--out alone with one shape, whatever the scene says', () => {
    expect(files('a.mp4', output('vertical', '/a/b.mp4'))).toEqual(['a.mp4']);
  });

  it("the scene's own where there is one", () => {
    expect(files(undefined, output('vertical', '/a/b.mp4'), output('square'))).toEqual([
      '/a/b.mp4',
      'intro-square.mp4',
    ]);
  });

  it('two of the same name are refused', () => {
    const twins = [output('square', '/a/b.mp4'), output('square', '/a/c.mp4')];
    expect(() => files('a.mp4', ...twins)).toThrow(
      'a-square.mp4: two outputs of the shape square would have this name: give each a file of its own in the scene',
    );
  });
});

describe('names of stills', () => {
  it("carry the time; the scene's own names are for clips", () => {
    const made = stillDeliveries(scene(output('square', '/a/b.mp4')), undefined, '2.5');
    expect(made.map(({ file }) => file)).toEqual(['intro-square-2.5s.png']);
  });
});

describe('shown', () => {
  it('is short inside the current folder and whole outside', () => {
    expect(shown(resolve('a', 'b.mp4'))).toMatch(/^a[/\\]b\.mp4$/);
    expect(shown('/elsewhere/b.mp4')).toBe('/elsewhere/b.mp4');
  });
});
