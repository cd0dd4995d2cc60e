import { wrapped } from '../math.js';
import type { BalloonPlan } from './balloon-plans.js';
import { frameAt, Mesh, rgb } from './mesh.js';
import { CAMERA_HEIGHT, directionOf, type Vec3 } from './place.js';

const GORES = 24;
const RINGS = 22;
const WICKER = rgb(0x8a5f38);

export function balloon(plan: BalloonPlan): { mesh: Mesh; centre: Vec3 } {
  const ray = directionOf(plan.longitude, plan.latitude);
  const centre: Vec3 = [
    ray[0] * plan.distance,
    CAMERA_HEIGHT + ray[1] * plan.distance,
    ray[2] * plan.distance,
  ];
  const frame = frameAt(centre, plan.longitude * 3, plan.radius);
  const mesh = new Mesh();
  const sides = GORES * 4;
  mesh.revolve(
    envelope(),
    sides,
    frame,
    (side, ring) => colourOf(plan, Math.floor(side / 4), ring),
    (angle) => 1 + 0.018 * Math.abs(Math.sin((angle * GORES) / 2)),
  );
  mesh.revolve(
    [
      [0.2, -1.42],
      [0.235, -1.56],
    ],
    24,
    frame,
    () => ({ colour: rgb(0x5b4a40), glow: 0.4 }),
  );
  mesh.revolve(
    [
      [0.001, -1.47],
      [0.06, -1.5],
      [0.001, -1.66],
    ],
    8,
    frame,
    () => ({ colour: rgb(0xffb347), glow: 2.6 }),
  );
  mesh.box([-0.115, -1.98, -0.095], [0.115, -1.8, 0.095], WICKER, frame);
  mesh.box([-0.125, -1.82, -0.105], [0.125, -1.795, 0.105], rgb(0x5a3c26), frame);
  for (const [x, z] of [
    [-1, -1],
    [1, -1],
    [1, 1],
    [-1, 1],
  ] as const) {
    const [low, high]: [Vec3, Vec3] = [
      [x * 0.11, -1.8, z * 0.09],
      [x * 0.16, -1.5, z * 0.16],
    ];
    const rope = (p: Vec3, side: number): Vec3 =>
      frame([p[0] + side * 0.006, p[1], p[2] - side * 0.006]);
    mesh.quad(rope(low, -1), rope(low, 1), rope(high, 1), rope(high, -1), rgb(0x3c3028));
  }
  for (const x of [-0.045, 0.05]) {
    mesh.box(
      [x - 0.028, -1.82, -0.03],
      [x + 0.028, -1.69, 0.03],
      rgb(x < 0 ? 0x30475e : 0x9c3d2e),
      frame,
    );
    mesh.box([x - 0.018, -1.69, -0.018], [x + 0.018, -1.65, 0.018], rgb(0xc9956b), frame);
  }
  return { mesh, centre };
}

/** The envelope's outline from the mouth up, for a radius of 1 about the widest place. */
function envelope(): [number, number][] {
  return Array.from({ length: RINGS + 1 }, (_, ring): [number, number] => {
    const t = ring / RINGS;
    if (t < 0.4) {
      const s = t / 0.4;
      const ease = s * s * (3 - 2 * s) * 0.35 + s * 0.65;
      return [0.2 + 0.72 * Math.sin((ease * Math.PI) / 2) ** 1.08, -1.42 + 1.03 * s];
    }
    const angle = -0.4 + ((t - 0.4) / 0.6) * (Math.PI / 2 + 0.4);
    return [Math.max(0.001, Math.cos(angle)), Math.sin(angle)];
  });
}

function colourOf(plan: BalloonPlan, gore: number, ring: number): { colour: Vec3; glow: number } {
  const pick = (index: number) => rgb(plan.colours[wrapped(index, plan.colours.length)] as number);
  const glow = 0.62;
  if (ring >= RINGS - 2) return { colour: pick(1), glow };
  if (plan.pattern === 'bands') return { colour: pick(Math.floor(ring / 3)), glow };
  if (plan.pattern === 'spiral') return { colour: pick(Math.floor((gore + ring) / 3)), glow };
  if (plan.pattern === 'checks' && ring > 6 && ring < 14)
    return { colour: pick(Math.floor(gore / 2) + Math.floor(ring / 2)), glow };
  if (plan.pattern === 'checks') return { colour: pick(ring >= 14 ? 1 : 0), glow };
  return { colour: pick(Math.floor(gore / 2)), glow };
}
