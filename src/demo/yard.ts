import { type Frame, frameAt, Mesh, rgb } from './mesh.js';
import { pathDistance } from './paths.js';
import { at, ORCHARD, type Point, type Vec3 } from './place.js';
import { ground, shoreDistance } from './terrain.js';

const WOOD = rgb(0x7d6449);

const standing = ([x, z]: Point, turn = 0, scale = 1): Frame =>
  frameAt([x, ground(x, z), z], turn, scale);

/** Posts and two rails along a line of points, with gaps where a path passes and at the shore. */
export function fence(points: readonly Point[]): Mesh {
  const mesh = new Mesh();
  for (let i = 0; i + 1 < points.length; i++) {
    const [a, b] = [points[i] as Point, points[i + 1] as Point];
    const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
    const parts = Math.max(1, Math.round(length / 2.6));
    for (let part = 0; part < parts; part++) {
      const spot = (k: number): Vec3 => {
        const x = a[0] + ((b[0] - a[0]) * k) / parts;
        const z = a[1] + ((b[1] - a[1]) * k) / parts;
        return [x, ground(x, z), z];
      };
      const [from, to] = [spot(part), spot(part + 1)];
      if (pathDistance(from[0], from[2]) < 1.5 || pathDistance(to[0], to[2]) < 1.5) continue;
      if (shoreDistance(to[0], to[2]) < 7) continue;
      mesh.box([-0.1, -0.4, -0.1], [0.1, 1.25, 0.1], WOOD, frameAt(from));
      for (const y of [0.55, 1.05]) {
        const p = (end: Vec3, up: number): Vec3 => [end[0], end[1] + y + up, end[2]];
        mesh.quad(p(from, -0.07), p(to, -0.07), p(to, 0.07), p(from, 0.07), WOOD);
        const wide = (end: Vec3, side: number): Vec3 => [
          end[0] + (side * (b[1] - a[1])) / length,
          end[1] + y + 0.07,
          end[2] - (side * (b[0] - a[0])) / length,
        ];
        mesh.quad(wide(from, -0.06), wide(to, -0.06), wide(to, 0.06), wide(from, 0.06), WOOD);
      }
    }
  }
  return mesh;
}

export function orchardFence(): Mesh {
  const points = Array.from({ length: 33 }, (_, i): Point => {
    const angle = (i / 32) * 1.86 * Math.PI + 3.4;
    return [ORCHARD[0] + Math.sin(angle) * 26, ORCHARD[1] + Math.cos(angle) * 32.5];
  });
  return fence(points);
}

/** A roofed well where the paths meet. */
export function well(place: Point): Mesh {
  const mesh = new Mesh();
  const frame = standing(place, 30);
  mesh.revolve(
    [
      [1.3, -0.3],
      [1.3, 0.9],
      [1.0, 0.9],
      [1.0, 0.2],
    ],
    18,
    frame,
    () => ({ colour: rgb(0x9c948a) }),
  );
  mesh.revolve(
    [
      [0.01, 0.25],
      [1, 0.25],
    ],
    18,
    frame,
    () => ({ colour: rgb(0x1c2c34) }),
  );
  for (const x of [-1.15, 1.15]) mesh.box([x - 0.1, 0, -0.1], [x + 0.1, 2.5, 0.1], WOOD, frame);
  for (const side of [-1, 1]) {
    mesh.quad(
      frame([-1.7, 2.3, side * 1.3]),
      frame([1.7, 2.3, side * 1.3]),
      frame([1.7, 3.3, 0]),
      frame([-1.7, 3.3, 0]),
      rgb(0xa34e38),
    );
  }
  return mesh;
}

/** A blanket with a basket and two cushions, for whoever rises early. */
export function picnic(place: Point): Mesh {
  const mesh = new Mesh();
  const frame = standing(place, 25);
  for (let i = 0; i < 6; i++) {
    for (let j = 0; j < 6; j++) {
      const colour = (i + j) % 2 ? rgb(0xf3ebdd) : rgb(0xc2453a);
      mesh.box(
        [-1.5 + i * 0.5, -0.1, -1.5 + j * 0.5],
        [-1 + i * 0.5, 0.14, -1 + j * 0.5],
        colour,
        frame,
      );
    }
  }
  mesh.box([0.2, 0.1, 0.3], [0.9, 0.55, 0.8], rgb(0x9b7042), frame);
  mesh.box([-1, 0.1, -0.9], [-0.5, 0.3, -0.4], rgb(0x33658a), frame);
  mesh.box([-0.9, 0.1, 0.5], [-0.4, 0.3, 1.0], rgb(0xf2c14e), frame);
  return mesh;
}

export const MEADOW_FENCE: readonly Point[] = [
  at(-20, 23),
  at(-34, 22),
  at(-52, 30),
  at(-66, 38),
  at(-78, 44),
];
