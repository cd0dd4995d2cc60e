import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import type { Camera } from '../../src/camera/types.js';
import { camerasOf } from '../../src/flow/cameras.js';
import { sceneMoves } from '../../src/page/moves.js';
import { openingMoves } from '../../src/page/opening.js';
import { cameraOf, momentView, wayOf } from '../../src/page/samples.js';
import { endOf } from '../../src/page/start.js';
import type { Moves } from '../../src/page/types.js';
import { bytesOf } from '../../src/page/web/source.js';
import { directionAt, distance } from '../../src/render/resolution.js';
import { loadScene } from '../../src/scene/load.js';

const folder = mkdtempSync(join(tmpdir(), 'orbreel-moves-'));
afterAll(() => rmSync(folder, { recursive: true }));

async function sceneOf(text: string) {
  writeFileSync(join(folder, 'master.png'), 'its picture is never asked for');
  writeFileSync(join(folder, 'scene.yaml'), `master: master.png\nfps: 20\n${text}`);
  return loadScene(join(folder, 'scene.yaml'));
}

const way = (moves: Moves) => wayOf(moves, new Float32Array(bytesOf(moves.samples).buffer));

/** The farthest apart that two cameras' rays are, as a chord of the unit sphere. */
function apart(a: Camera, b: Camera): number {
  const places = [-1, -0.4, 0, 0.7, 1];
  const ways = places.flatMap((x) =>
    places.map((y) => distance(directionAt(a, x, y), directionAt(b, x, y))),
  );
  return Math.max(...ways);
}

describe('moves that are resolved ahead', () => {
  it.each([
    [
      'a planet that opens',
      '{ at: 0, yaw: 170, pitch: -90, fov: 280, projection: stereographic }',
      '{ at: 2, yaw: 300, pitch: 10, fov: 75, projection: rectilinear }',
    ],
    [
      'balls and blends',
      '{ at: 0, pitch: 20, fov: 350, projection: mirror-ball }',
      '{ at: 2, yaw: 90, roll: 40, fov: 110, projection: panini }',
    ],
  ])('say what the scene’s own cameras say: %s', async (_, first, last) => {
    const scene = await sceneOf(
      `duration: 2\noutputs: [320x180, 180x320]\nkeyframes:\n  - ${first}\n  - ${last}\n`,
    );
    const [output] = scene.outputs;
    const [moves, ...others] = sceneMoves(scene);
    // Round lenses show the same across the shorter side of both outputs: one set of moves serves them.
    expect(others).toHaveLength(last.includes('panini') ? 1 : 0);
    const cameras = camerasOf(scene, output!)(0);
    for (const seconds of [0, 0.35, 0.5, 1.2, 1.95, 2]) {
      const camera = cameraOf(way(moves!).at(seconds), output!);
      expect(apart(camera, cameras(seconds)), `${seconds} s`).toBeLessThan(1e-5);
    }
    // Between two samples they are interpolated.
    const camera = cameraOf(way(moves!).at(0.975), output!);
    expect(apart(camera, cameras(0.975))).toBeLessThan(2e-2);
  });

  it('jump where the scene does', async () => {
    const scene = await sceneOf(
      'duration: 2\noutputs: [320x180]\nkeyframes:\n  - { at: 0, yaw: 0, ease: hold }\n  - { at: 1, yaw: 90 }\n',
    );
    const { at } = way(sceneMoves(scene)[0]!);
    expect(momentView(at(0.99)).yaw).toBeCloseTo(0, 4);
    expect(momentView(at(1)).yaw).toBeCloseTo(90, 4);
  });

  it('go round for ever where the scene does', async () => {
    const scene = await sceneOf(
      'duration: 2\nloop: true\noutputs: [320x180]\nkeyframes:\n  - { at: 0, yaw: 0, ease: linear }\n  - { at: 1, yaw: 180, ease: linear }\n  - { at: 100%, yaw: 360, ease: linear }\n',
    );
    const turning = way(sceneMoves(scene)[0]!);
    expect(turning.duration).toBe(2);
    expect(momentView(turning.at(1.99)).yaw).toBeCloseTo(-1.8, 1);
    expect(momentView(turning.at(2.5)).yaw).toBeCloseTo(momentView(turning.at(0.5)).yaw, 4);
  });

  it('open a master’s page from a planet to its first view', () => {
    const start = { yaw: 140, pitch: 12, fov: 68 };
    const [moves] = openingMoves(start);
    const first = momentView(way(moves!).at(0));
    expect([first.pitch, first.fov]).toEqual([expect.closeTo(-90, 3), expect.closeTo(285, 2)]);
    const end = endOf(moves!);
    expect(end.yaw).toBeCloseTo(140, 3);
    expect(end.pitch).toBeCloseTo(12, 3);
    expect(end.fov).toBeCloseTo(68, 3);
    // About 9 kB for all of it.
    expect(moves!.samples.length).toBeLessThan(10_000);
  });
});
