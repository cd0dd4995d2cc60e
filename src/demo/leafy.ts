import { type Frame, frameAt, Mesh } from './mesh.js';
import { noise, random } from './noise.js';
import type { Vec3 } from './place.js';
import type { Tree } from './trees.js';

/** Sides and rings of a tuft for trees close by and farther off. */
const FINE = { sides: 13, rings: 8 };
const COARSE = { sides: 9, rings: 5 };
const COARSE_FROM_IN_M = 85;
const BARK: Vec3 = [0.34, 0.27, 0.21];
/** The shader takes things that glow less than nothing for foliage. */
const FOLIAGE = -1;

/** A broadleaf tree that can be looked at from close by: a trunk under overlapping tufts of leaves. */
export function leafyTree(tree: Tree, foot: number): Mesh {
  const mesh = new Mesh();
  const next = random(Math.floor(tree.seed * 1e4));
  const { radius, height } = tree;
  const frame = frameAt([tree.x, foot, tree.z]);
  mesh.revolve(
    [
      [radius * 0.13, -0.5],
      [radius * 0.08, height * 0.4],
    ],
    7,
    frame,
    () => ({ colour: BARK }),
  );
  tuft(mesh, tree, frame, [0, height * 0.62, 0], radius * 0.62);
  for (let i = 0; i < 6; i++) {
    const angle = (i + 0.6 * next()) * (Math.PI / 3);
    const far = radius * (0.5 + 0.12 * next());
    const up = height * (0.36 + 0.26 * next());
    tuft(
      mesh,
      tree,
      frame,
      [Math.sin(angle) * far, up, Math.cos(angle) * far],
      radius * (0.4 + 0.1 * next()),
    );
  }
  return mesh;
}

function tuft(mesh: Mesh, tree: Tree, frame: Frame, centre: Vec3, size: number): void {
  const { sides, rings } = Math.hypot(tree.x, tree.z) < COARSE_FROM_IN_M ? FINE : COARSE;
  const point = (side: number, ring: number): { at: Vec3; out: Vec3 } => {
    const [a, b] = [(side / sides) * 2 * Math.PI, (ring / rings) * Math.PI];
    const out: Vec3 = [Math.sin(a) * Math.sin(b), -Math.cos(b), Math.cos(a) * Math.sin(b)];
    const [px, pz] = [
      out[0] * 2.3 + out[1] * 1.4 + tree.seed + centre[0],
      out[2] * 2.3 - out[1] * 1.7 + centre[2],
    ];
    const r = size * (1 + 0.17 * noise(px, pz) + 0.1 * noise(px * 2.7, pz * 2.7));
    return {
      at: [centre[0] + out[0] * r, centre[1] + out[1] * r * 0.86, centre[2] + out[2] * r],
      out,
    };
  };
  const colour = (y: number): Vec3 => {
    const tone = (0.52 + 0.5 * Math.min(1, y / tree.height)) / 255;
    return [tree.colour[0] * tone, tree.colour[1] * tone, tree.colour[2] * tone];
  };
  for (let ring = 0; ring < rings; ring++) {
    for (let side = 0; side < sides; side++) {
      const [a, b, c, d] = [
        point(side, ring),
        point((side + 1) % sides, ring),
        point((side + 1) % sides, ring + 1),
        point(side, ring + 1),
      ];
      const tone = colour((a.at[1] + c.at[1]) / 2);
      mesh.triangle(frame(a.at), frame(b.at), frame(c.at), tone, FOLIAGE, [a.out, b.out, c.out]);
      mesh.triangle(frame(a.at), frame(c.at), frame(d.at), tone, FOLIAGE, [a.out, c.out, d.out]);
    }
  }
}
