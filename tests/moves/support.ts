import { landingAt } from '../../src/camera/aim.js';
import type { Camera } from '../../src/camera/types.js';
import { camerasOf } from '../../src/flow/cameras.js';
import { degrees } from '../../src/math.js';
import { parseSequence } from '../../src/scene/parse.js';
import type { Sequence } from '../../src/scene/types.js';
import { frameCount, frameTime } from '../../src/timeline/frames.js';

export const MARKS = {
  windmill: { yaw: -21.4, pitch: -6.4 },
  boat: { yaw: 28, pitch: -13.4 },
  balloon: { yaw: 170, pitch: 14 },
};

export const SHAPES = ['vertical', 'square', 'landscape'];

/** A scene of these moves and nothing else, unless `more` says so. */
export const sceneOf = (moves: readonly unknown[], more: object = {}): Sequence =>
  parseSequence(
    JSON.stringify({ master: 'valley.jpg', marks: MARKS, outputs: SHAPES, moves, ...more }),
    's.json',
  );

/** All cameras of the clip in one of its outputs, at so many frames a second. */
export function camerasAt(scene: Sequence, output: number, fps: number): Camera[] {
  const cameraAt = camerasOf(scene, scene.outputs[output]!)(0);
  return Array.from({ length: frameCount(scene.duration, fps) + 1 }, (_, n) =>
    cameraAt(Math.min(scene.duration, frameTime(n, fps))),
  );
}

const PLACES = [0.05, 0.5, 0.95].flatMap((x) => [0.05, 0.5, 0.95].map((y) => [x, y] as const));

/** Where nine places of the frame look, in the world. */
function raysOf(camera: Camera): number[][] {
  const m = camera.rotation;
  return PLACES.map((place) => {
    const [x, y, z] = landingAt(camera, place).ray;
    return [0, 1, 2].map((row) => m[row]! * x + m[row + 3]! * y + m[row + 6]! * z);
  });
}

/** The most that any of these places turns from one camera to the next, in degrees. */
export function largestStep(cameras: readonly Camera[]): number {
  const rays = cameras.map(raysOf);
  let most = 0;
  for (const [index, now] of rays.entries()) {
    const before = rays[index - 1];
    if (before === undefined) continue;
    for (const [place, ray] of now.entries()) {
      const apart = Math.hypot(...ray.map((value, axis) => value - before[place]![axis]!));
      most = Math.max(most, degrees(2 * Math.asin(Math.min(1, apart / 2))));
    }
  }
  return most;
}

/** A small repeatable generator of numbers from 0 to 1 (Marsaglia's xorshift with 13, 17, 5; from memory). */
export function random(seed: number): () => number {
  let state = seed;
  return () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) / 2 ** 32;
  };
}
