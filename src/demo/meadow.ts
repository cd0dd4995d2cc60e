import { type Frame, frameAt, Mesh, rgb } from './mesh.js';
import { random } from './noise.js';
import type { Point } from './place.js';
import { ground } from './terrain.js';

const standing = ([x, z]: Point, turn = 0, scale = 1): Frame =>
  frameAt([x, ground(x, z), z], turn, scale);

/** A flock on the meadow, scattered but seeded. */
export function sheep(centre: Point, count: number, seed: number): Mesh {
  const mesh = new Mesh();
  const next = random(seed);
  for (let i = 0; i < count; i++) {
    const angle = next() * 2 * Math.PI;
    const far = Math.sqrt(next()) * 11;
    const frame = standing(
      [centre[0] + Math.sin(angle) * far, centre[1] + Math.cos(angle) * far],
      next() * 360,
      1.15 + 0.3 * next(),
    );
    const along: Frame = ([x, y, z]) => frame([x, 0.75 + z * 0.42, y * 0.72]);
    mesh.revolve(
      [
        [0.02, -1],
        [0.36, -0.8],
        [0.46, -0.2],
        [0.46, 0.3],
        [0.34, 0.8],
        [0.02, 1],
      ],
      10,
      along,
      () => ({ colour: rgb(0xf0e8d8) }),
    );
    mesh.box([-0.14, 0.75, 0.65], [0.14, 1.1, 1.08], rgb(0x4a3f38), frame);
    for (const [x, z] of [
      [-0.2, -0.4],
      [0.2, -0.4],
      [-0.2, 0.4],
      [0.2, 0.4],
    ] as const) {
      mesh.box([x - 0.06, -0.1, z - 0.06], [x + 0.06, 0.5, z + 0.06], rgb(0x4a3f38), frame);
    }
  }
  return mesh;
}

/** Round hay bales lying in loose rows. */
export function hayBales(centre: Point, count: number, seed: number): Mesh {
  const mesh = new Mesh();
  const next = random(seed);
  for (let i = 0; i < count; i++) {
    const place: Point = [
      centre[0] + ((i % 3) - 1) * 9 + next() * 3,
      centre[1] + (Math.floor(i / 3) - 1) * 8 + next() * 3,
    ];
    const frame = standing(place, 20 + 50 * next());
    const lying: Frame = ([x, y, z]) => frame([y, 1.05 + x, z]);
    const straw = (_: number, ring: number) => ({ colour: rgb(ring % 2 ? 0xc29f5c : 0xd2b272) });
    mesh.revolve(
      [
        [0.01, -0.9],
        [0.6, -0.9],
        [1.15, -0.88],
        [1.2, -0.5],
        [1.2, 0.5],
        [1.15, 0.88],
        [0.6, 0.9],
        [0.01, 0.9],
      ],
      16,
      lying,
      straw,
    );
  }
  return mesh;
}
