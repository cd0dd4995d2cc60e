import { type Frame, frameAt, Mesh, rgb } from './mesh.js';
import { JETTY, type Point, type Vec3 } from './place.js';

const PLANK = rgb(0x9b7a55);
const POST = rgb(0x5e4632);

/** A plank jetty from the shore into the lake, with posts and a lamp at its end. */
export function jetty(): Mesh {
  const mesh = new Mesh();
  const { start, end } = JETTY;
  const length = Math.hypot(end[0] - start[0], end[1] - start[1]);
  const turn = (Math.atan2(-(end[0] - start[0]), end[1] - start[1]) * 180) / Math.PI;
  const frame = frameAt([start[0], 0, start[1]], turn);
  for (let z = 0; z < length; z += 0.5) {
    const tone = 0.86 + 0.28 * ((z * 1.37) % 1);
    mesh.box(
      [-1.25, 1.0, z],
      [1.25, 1.14, z + 0.44],
      [PLANK[0] * tone, PLANK[1] * tone, PLANK[2] * tone],
      frame,
    );
  }
  for (let x = -4; x < 4; x += 0.5)
    mesh.box([x, 1.0, length - 3], [x + 0.44, 1.14, length], PLANK, frame);
  for (let z = 1; z <= length; z += 4) {
    for (const x of [-1.3, 1.3])
      mesh.box([x - 0.15, -3, z - 0.15], [x + 0.15, 1.9, z + 0.15], POST, frame);
  }
  for (const x of [-3.9, 3.9])
    mesh.box([x - 0.15, -3, length - 0.2], [x + 0.15, 2, length + 0.1], POST, frame);
  return mesh;
}

/** An open rowing boat with thwarts. */
export function rowingBoat(place: Point, turn: number, colour: number): Mesh {
  const mesh = new Mesh();
  const frame = frameAt([place[0], 0, place[1]], turn);
  hull(mesh, frame, 2.9, 0.95, 0.75, rgb(colour), rgb(0xb08a5e));
  for (const z of [-1.2, 0.2, 1.4])
    mesh.box([-0.75, 0.42, z - 0.18], [0.75, 0.5, z + 0.18], PLANK, frame);
  mesh.box([-1.9, 0.62, 0.5], [1.9, 0.7, 0.6], rgb(0xd9bf94), frame);
  return mesh;
}

/** A small sailing boat under main and jib. */
export function sailingBoat(place: Point, turn: number): Mesh {
  const mesh = new Mesh();
  const frame = frameAt([place[0], 0, place[1]], turn, 1.25);
  hull(mesh, frame, 4.2, 1.35, 1.05, rgb(0xf4efe4), rgb(0xa87a4c));
  mesh.box([-0.08, 0.5, 0.2], [0.08, 11.5, 0.36], POST, frame);
  mesh.triangle(
    frame([0, 1.8, 0.1]),
    frame([1.5, 1.9, -3.9]),
    frame([0, 11.2, 0.2]),
    rgb(0xfbf3e2),
    0.8,
  );
  mesh.triangle(
    frame([0.02, 1.5, 3.9]),
    frame([0.9, 1.6, 0.5]),
    frame([0, 9.6, 0.4]),
    rgb(0xd1553f),
    0.8,
  );
  return mesh;
}

function hull(
  mesh: Mesh,
  frame: Frame,
  half: number,
  beam: number,
  side: number,
  outside: Vec3,
  inside: Vec3,
): void {
  const stations = 14;
  const width = (share: number) =>
    beam * Math.sqrt(Math.max(0, 1 - Math.abs(2 * share - 1) ** (share > 0.5 ? 2.1 : 4)));
  const at = (i: number, sign: number, inner: number): [Vec3, Vec3] => {
    const share = i / stations;
    const w = width(share) * inner;
    const z = (2 * share - 1) * half;
    const sheer = side * (1 + 0.35 * (2 * share - 1) ** 2);
    return [frame([sign * w, sheer, z]), frame([sign * w * 0.6, inner < 1 ? 0.15 : -0.3, z])];
  };
  for (let i = 0; i < stations; i++) {
    for (const sign of [-1, 1]) {
      for (const inner of [1, 0.9]) {
        const [[a, b], [c, d]] = [at(i, sign, inner), at(i + 1, sign, inner)];
        mesh.quad(a, b, d, c, inner < 1 ? inside : outside);
      }
    }
    const [[, a], [, b], [, c], [, d]] = [
      at(i, -1, 0.9),
      at(i, 1, 0.9),
      at(i + 1, 1, 0.9),
      at(i + 1, -1, 0.9),
    ];
    mesh.quad(a, b, c, d, inside);
  }
}
