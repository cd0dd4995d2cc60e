import { type Frame, frameAt, Mesh, rgb } from './mesh.js';
import type { HousePlan, Vec3 } from './place.js';

const PLASTER = [rgb(0xefe4d0), rgb(0xe8d3b0), rgb(0xdcc7b2)];
const ROOFS = [rgb(0xa3583f), rgb(0x8f5346), rgb(0x745a4e)];
const TIMBER = rgb(0x6b4a33);
const STONE = rgb(0x9a9086);
const GLASS = rgb(0x2c3440);
const LAMPLIT = rgb(0xffc873);

/** A gabled house with windows, a chimney and a stone foot. */
export function house(plan: HousePlan, ground: number): Mesh {
  const mesh = new Mesh();
  const frame = frameAt([plan.place[0], ground - 1.2, plan.place[1]], plan.turn);
  const [w, l] = [plan.width / 2, plan.length / 2];
  const eaves = plan.wall + 1.2;
  const ridge = eaves + plan.width * 0.48;
  const plaster = PLASTER[plan.roof] as Vec3;
  mesh.box([-w - 0.15, 0, -l - 0.15], [w + 0.15, 2, l + 0.15], STONE, frame);
  mesh.box([-w, 0, -l], [w, eaves, l], plaster, frame);
  gables(mesh, frame, w, l, eaves, ridge, plaster);
  roof(mesh, frame, w + 0.7, l + 0.8, eaves - 0.35, ridge + 0.25, ROOFS[plan.roof] as Vec3);
  mesh.box(
    [w * 0.25, eaves, -l * 0.5],
    [w * 0.25 + 1, ridge + 1.2, -l * 0.5 + 1],
    rgb(0x8a5a48),
    frame,
  );
  windows(mesh, frame, w, l, eaves, plan.roof);
  return mesh;
}

function gables(
  mesh: Mesh,
  frame: Frame,
  w: number,
  l: number,
  eaves: number,
  ridge: number,
  colour: Vec3,
): void {
  for (const z of [-l, l]) {
    mesh.triangle(frame([-w, eaves, z]), frame([w, eaves, z]), frame([0, ridge, z]), colour);
  }
}

function roof(
  mesh: Mesh,
  frame: Frame,
  w: number,
  l: number,
  eaves: number,
  ridge: number,
  colour: Vec3,
): void {
  const courses = 7;
  for (const side of [-1, 1]) {
    for (let i = 0; i < courses; i++) {
      const [a, b] = [i / courses, (i + 1) / courses];
      const point = (share: number, z: number): Vec3 =>
        frame([side * w * (1 - share), eaves + (ridge - eaves) * share, z]);
      const tone = 0.92 + 0.16 * ((i * 0.618) % 1);
      mesh.quad(point(a, -l), point(a, l), point(b, l), point(b, -l), [
        colour[0] * tone,
        colour[1] * tone,
        colour[2] * tone,
      ]);
    }
  }
  mesh.box([-0.2, ridge - 0.15, -l], [0.2, ridge + 0.15, l], rgb(0x8c4634), frame);
}

function windows(
  mesh: Mesh,
  frame: Frame,
  w: number,
  l: number,
  eaves: number,
  seed: number,
): void {
  const rows = Math.max(1, Math.floor(eaves / 3.4));
  for (const side of [-1, 1]) {
    for (let z = -l + 1.8, n = seed; z < l - 1; z += 2.7, n++) {
      for (let row = 0; row < rows; row++) {
        const y = 2.6 + row * 2.6;
        const lit = (n + row * 2) % 4 === 0;
        mesh.box(
          [side * w - 0.06, y, z - 0.55],
          [side * w + 0.06, y + 1.4, z + 0.55],
          lit ? LAMPLIT : GLASS,
          frame,
          lit ? 1.7 : 0,
        );
        for (const shutter of [-0.9, 0.62]) {
          mesh.box(
            [side * w - 0.09, y, z + shutter],
            [side * w + 0.09, y + 1.4, z + shutter + 0.28],
            rgb(0x4f6d62),
            frame,
          );
        }
      }
    }
  }
  for (const end of [-1, 1]) {
    mesh.box([-0.6, 1.2, end * l - 0.08], [0.6, 3.4, end * l + 0.08], TIMBER, frame);
    mesh.box([-0.5, eaves + 0.2, end * l - 0.06], [0.5, eaves + 1.5, end * l + 0.06], GLASS, frame);
  }
}

/** A small church: nave, tower and a slender spire. */
export function church(place: Vec3, turn: number): Mesh {
  const mesh = new Mesh();
  const frame = frameAt([place[0], place[1] - 1.5, place[2]], turn);
  const white = rgb(0xf0e8da);
  mesh.box([-4.2, 0, -8], [4.2, 8, 8], white, frame);
  gables(mesh, frame, 4.2, 8, 8, 12.5, white);
  roof(mesh, frame, 4.8, 8.5, 7.6, 12.9, rgb(0x74534a));
  mesh.box([-2.7, 0, 8], [2.7, 17, 13.4], white, frame);
  mesh.box([-3, 16.6, 7.7], [3, 17.3, 13.7], STONE, frame);
  const corners: Vec3[] = [
    [-3, 17.3, 7.7],
    [3, 17.3, 7.7],
    [3, 17.3, 13.7],
    [-3, 17.3, 13.7],
  ];
  for (let i = 0; i < 4; i++) {
    mesh.triangle(
      frame(corners[i] as Vec3),
      frame(corners[(i + 1) % 4] as Vec3),
      frame([0, 31, 10.7]),
      rgb(0x4d6470),
    );
  }
  for (const x of [-2.7, 2.7]) mesh.box([x - 0.08, 12.5, 10], [x + 0.08, 15.2, 11.4], GLASS, frame);
  mesh.box([-0.7, 12.5, 13.3], [0.7, 15.2, 13.5], GLASS, frame);
  mesh.box([-1, 1.5, 13.3], [1, 4.6, 13.5], TIMBER, frame);
  for (let z = -6; z <= 6; z += 3) {
    for (const x of [-4.2, 4.2])
      mesh.box([x - 0.07, 3.2, z - 0.5], [x + 0.07, 6.4, z + 0.5], GLASS, frame);
  }
  return mesh;
}
