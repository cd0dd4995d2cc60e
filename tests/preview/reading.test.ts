import { describe, expect, it } from 'vitest';
import { openSession } from '../../src/preview/open.js';
import { readForPage } from '../../src/preview/reading.js';
import { SCENE, workFolder } from './support.js';

const SHOTS = `master: park.png
duration: 5
outputs: [vertical]
marks:
  tree: { yaw: 10, pitch: 2 }
shots:
  - duration: 2
    keyframes: [{ at: 0, look: tree }]
  - scene: scene.yaml
    transition: { kind: dissolve, duration: 1 }
`;

describe('what a page gets to know of a scene', () => {
  it('is one of its shots, with the place where that is written', async () => {
    const { file, write } = await workFolder(SCENE.replace('320x180, ', ''));
    write('all.yaml', SHOTS.replace('kind: dissolve, duration: 1', 'dissolve: 1'));
    const text = SHOTS.replace('    transition: { kind: dissolve, duration: 1 }\n', '')
      .replace('duration: 5\n', '')
      .replace('scene: scene.yaml', 'scene: scene.yaml');
    const first = await readForPage(text, file('all.yaml'), 0);
    expect(first.problems).toEqual([]);
    expect(first.shots).toEqual(['1: park.png, 2 s', '2: park.png, 4 s']);
    expect(first.list).toEqual(['shots', 0, 'keyframes']);
    expect(first.written).toEqual([{ at: 0, look: 'tree' }]);
    expect(first.marks).toEqual([{ name: 'tree', yaw: 10, pitch: 2 }]);
    expect(first.marksPlace).toEqual(['marks']);
    expect(first.start).toBe(0);

    const second = await readForPage(text, file('all.yaml'), 1);
    expect([second.list, second.start]).toEqual([[], 2]);
    expect(second.scene?.duration).toBe(4);
    // More than there are.
    expect((await readForPage(text, file('all.yaml'), 7)).shot).toBe(1);
  });

  it('has every named shape, and why one does not fit', async () => {
    const { file } = await workFolder();
    const text = SCENE.replace('fov: 80', 'fov: 170')
      .replaceAll('stereographic', 'equirectangular')
      .replace('fov: 280', 'fov: 170')
      .replace('fov: 200', 'fov: 170');
    const { shapes } = await readForPage(text, file('scene.yaml'), 0);
    expect(shapes.slice(0, 2).map(({ name, isOutput }) => [name, isOutput])).toEqual([
      ['320x180', true],
      ['vertical', true],
    ]);
    expect(shapes.find(({ name }) => name === 'square')?.isOutput).toBe(false);
    expect(shapes.find(({ name }) => name === 'vertical')?.safe.bottom).toBe(0.2);
  });
});

describe('a session', () => {
  it('goes on from a text with mistakes with the last scene that had none', async () => {
    const { file } = await workFolder();
    const session = await openSession(file('scene.yaml'));
    try {
      await session.write(SCENE.replace('fov: 80', 'fov: 800'));
      expect(session.state.problems).toMatchObject([{ line: 17, path: 'keyframes[2].fov' }]);
      expect(session.state.scene?.keyframes).toHaveLength(3);
      expect(() => session.scene).toThrow('The scene has mistakes');
      await session.undo(-1);
      expect([session.state.problems, session.state.isSaved]).toEqual([[], true]);
    } finally {
      session.close();
    }
  });

  it('makes no change that would be a mistake, and none to a text that is no longer there', async () => {
    const { file } = await workFolder();
    const session = await openSession(file('scene.yaml'));
    try {
      const change = (fov: number) =>
        ({ kind: 'set', place: ['keyframes', 2, 'fov'], value: fov }) as const;
      const edit = { revision: session.state.revision, label: 'wider', changes: [change(200)] };
      await expect(session.edit(edit)).rejects.toThrow('less than 180 degrees');
      expect(session.text).toBe(SCENE);
      await session.edit({ ...edit, changes: [change(100)] });
      expect(session.state.undo).toBe('wider');
      await expect(session.edit({ ...edit, changes: [change(90)] })).rejects.toThrow(
        'was changed meanwhile',
      );
    } finally {
      session.close();
    }
  });
});
