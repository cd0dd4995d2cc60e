import { type Frame, frameAt, Mesh, rgb } from './mesh.js';
import type { Vec3 } from './place.js';

const TIMBER = rgb(0x6b4a33);
const STONE = rgb(0x9a9086);
const GLASS = rgb(0x2c3440);
const LAMPLIT = rgb(0xffc873);

/** A tower mill with a gallery and four canvas-clad sails, facing `turn` degrees from +z. */
export function windmill(place: Vec3, turn: number, scale: number): Mesh {
  const mesh = new Mesh();
  const frame = frameAt(place, turn, scale);
  const tower: [number, number][] = [
    [5.4, -3],
    [5.0, 2],
    [4.75, 5],
    [4.5, 8],
    [4.1, 12.5],
    [3.7, 17],
    [3.35, 21],
  ];
  mesh.revolve(tower, 28, frame, (_, ring) => ({
    colour: ring < 2 ? STONE : rgb(ring === 5 ? 0xe6dac6 : 0xf3ebdc),
  }));
  const cap: [number, number][] = [
    [3.9, 20.8],
    [3.95, 21.5],
    [3.7, 23],
    [3.0, 24.6],
    [1.7, 25.9],
    [0.05, 26.4],
  ];
  mesh.revolve(cap, 28, frame, (side) => ({ colour: rgb(side % 2 ? 0x7a3b2e : 0x864333) }));
  const gallery: [number, number][] = [
    [4.4, 7.6],
    [6.6, 7.8],
    [6.6, 8.1],
    [4.4, 8.1],
  ];
  mesh.revolve(gallery, 28, frame, () => ({ colour: TIMBER }));
  mesh.revolve(
    [
      [6.5, 8.9],
      [6.5, 9.1],
    ],
    28,
    frame,
    () => ({ colour: TIMBER }),
  );
  for (let i = 0; i < 14; i++) {
    const angle = (i / 14) * 2 * Math.PI;
    const [x, z] = [Math.sin(angle) * 6.5, Math.cos(angle) * 6.5];
    mesh.box([x - 0.09, 8, z - 0.09], [x + 0.09, 9.1, z + 0.09], TIMBER, frame);
  }
  for (const [angle, y] of [
    [-0.62, 2.4],
    [-0.62, 10.6],
    [-0.62, 15.6],
    [-1.5, 12.5],
    [0.35, 12.5],
    [1.7, 4.2],
    [2.6, 11],
  ] as const) {
    const r = 4.85 - 0.09 * y;
    const pane = frameAt(
      frame([Math.sin(angle) * r, y, Math.cos(angle) * r]),
      turn - (angle * 180) / Math.PI,
      scale,
    );
    mesh.box([-0.62, -0.15, -0.2], [0.62, 1.9, 0.24], TIMBER, pane);
    mesh.box([-0.45, 0, -0.2], [0.45, 1.7, 0.3], y > 12 ? LAMPLIT : GLASS, pane, y > 12 ? 1.6 : 0);
  }
  sails(mesh, frame);
  return mesh;
}

function sails(mesh: Mesh, frame: Frame): void {
  const hub: Vec3 = [0, 22.6, 0];
  mesh.box([-0.5, 22.1, 2], [0.5, 23.1, 5.2], TIMBER, frame);
  for (let arm = 0; arm < 4; arm++) {
    const angle = ((24 + 90 * arm) * Math.PI) / 180;
    const [sin, cos] = [Math.sin(angle), Math.cos(angle)];
    const blade: Frame = ([x, y, z]) =>
      frame([x * cos + y * sin, hub[1] - x * sin + y * cos, 4.9 + z]);
    mesh.box([-0.2, -0.5, -0.2], [0.2, 14.4, 0.2], TIMBER, blade);
    for (const [from, to, colour] of [
      [2.6, 10.8, 0xf7ead2],
      [10.8, 12.4, 0xc9503c],
      [12.4, 14, 0xf7ead2],
    ] as const) {
      mesh.quad(
        blade([0.2, from, 0.05]),
        blade([2.5, from, -0.35]),
        blade([2.5, to, -0.35]),
        blade([0.2, to, 0.05]),
        rgb(colour),
        0.85,
      );
    }
    for (let y = 2.6; y <= 14.1; y += 1.425)
      mesh.box([-0.6, y - 0.07, 0.1], [2.6, y + 0.07, 0.2], TIMBER, blade);
    for (const x of [-0.6, 1.35, 2.5])
      mesh.box([x - 0.07, 2.6, 0.1], [x + 0.07, 14, 0.2], TIMBER, blade);
  }
}
