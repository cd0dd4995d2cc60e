import { describe, expect, it } from 'vitest';
import { parseScene } from '../../src/scene/parse.js';
import { clipPlaces } from '../../src/timeline/places.js';

/** When the clip shows the keyframes at 0, 1, 2 and 4 s of a scene that is 4 s long. */
function shown(more: string): [number, number][] {
  const list = [0, 1, 2, 4].map((at) => `  - { at: ${at}, yaw: ${at}0 }\n`).join('');
  const text = `master: a.jpg\nduration: 8\nfps: 10\n${more}\nkeyframes:\n${list}`;
  const scene = parseScene(text, 'a.yaml');
  return clipPlaces(scene, scene.keyframes).map(({ at, yaw }) => [
    Number(at.toFixed(6)),
    yaw! / 10,
  ]);
}

describe('the places of keyframes in the clip', () => {
  it('are their own times without timing', () => {
    expect(shown('')).toEqual([
      [0, 0],
      [1, 1],
      [2, 2],
      [4, 4],
    ]);
  });

  it('come there and back with ping-pong, the farthest one once', () => {
    expect(shown('timing: ping-pong').map(([at]) => at)).toEqual([0, 1, 2, 4, 6, 7, 8]);
    expect(shown('timing: ping-pong').map(([, keyframe]) => keyframe)).toEqual([
      0, 1, 2, 4, 2, 1, 0,
    ]);
  });

  it('begin with the keyframe before the first time shown, and come once where it is held', () => {
    const timing =
      '[{ at: 0, shows: 1.5 }, { at: 1.05, shows: 2 }, { at: 3, shows: 2 }, { at: 8, shows: 4 }]';
    expect(shown(`timing: ${timing}`)).toEqual([
      [0, 1],
      [1.05, 2],
      [8, 4],
    ]);
  });
});
