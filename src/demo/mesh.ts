import type { Vec3 } from './place.js';

/** A triangle soup with what the shader needs at each corner. */
export class Mesh {
  /** Position, normal, sRGB colour (0 to 1), glow: ten numbers a corner. */
  readonly corners: number[] = [];
  static readonly STRIDE = 10;

  /** `glow`: 0 opaque, up to 1 lets the sun through, above 1 shines by itself. */
  triangle(
    a: Vec3,
    b: Vec3,
    c: Vec3,
    colour: Vec3,
    glow = 0,
    normals?: readonly [Vec3, Vec3, Vec3],
  ): void {
    const flat = unit(cross(minus(b, a), minus(c, a)));
    const corners = [a, b, c] as const;
    for (const [i, corner] of corners.entries()) {
      this.corners.push(...corner, ...(normals?.[i] ?? flat), ...colour, glow);
    }
  }

  quad(a: Vec3, b: Vec3, c: Vec3, d: Vec3, colour: Vec3, glow = 0): void {
    this.triangle(a, b, c, colour, glow);
    this.triangle(a, c, d, colour, glow);
  }

  /** A box between two opposite corners, drawn through `frame`. */
  box(from: Vec3, to: Vec3, colour: Vec3, frame: Frame, glow = 0): void {
    const p = (x: number, y: number, z: number): Vec3 =>
      frame([x ? to[0] : from[0], y ? to[1] : from[1], z ? to[2] : from[2]]);
    const q = (...v: readonly (readonly [number, number, number])[]) => {
      const [a, b, c, d] = v.map((w) => p(...w)) as [Vec3, Vec3, Vec3, Vec3];
      this.quad(a, b, c, d, colour, glow);
    };
    q([0, 0, 0], [1, 0, 0], [1, 0, 1], [0, 0, 1]);
    q([0, 1, 0], [0, 1, 1], [1, 1, 1], [1, 1, 0]);
    q([0, 0, 0], [0, 1, 0], [1, 1, 0], [1, 0, 0]);
    q([0, 0, 1], [1, 0, 1], [1, 1, 1], [0, 1, 1]);
    q([0, 0, 0], [0, 0, 1], [0, 1, 1], [0, 1, 0]);
    q([1, 0, 0], [1, 1, 0], [1, 1, 1], [1, 0, 1]);
  }

  /** Turns a profile of (radius, height) about the y axis; `look` gives colour and glow by share around and ring. */
  revolve(
    profile: readonly (readonly [radius: number, height: number])[],
    sides: number,
    frame: Frame,
    look: (side: number, ring: number) => { colour: Vec3; glow?: number },
    bulge: (angle: number) => number = () => 1,
  ): void {
    const point = (side: number, ring: number): Vec3 => {
      const angle = (side / sides) * 2 * Math.PI;
      const [radius, height] = profile[ring] as readonly [number, number];
      const r = radius * bulge(angle);
      return frame([Math.sin(angle) * r, height, Math.cos(angle) * r]);
    };
    const normal = (side: number, ring: number): Vec3 => {
      const last = profile.length - 1;
      const [r0, y0] = profile[Math.max(0, ring - 1)] as readonly [number, number];
      const [r1, y1] = profile[Math.min(last, ring + 1)] as readonly [number, number];
      const angle = (side / sides) * 2 * Math.PI;
      const out = y1 - y0;
      const origin = frame([0, 0, 0]);
      return unit(minus(frame([Math.sin(angle) * out, r0 - r1, Math.cos(angle) * out]), origin));
    };
    for (let ring = 0; ring + 1 < profile.length; ring++) {
      for (let side = 0; side < sides; side++) {
        const { colour, glow = 0 } = look(side, ring);
        const corner = (s: number, r: number) => [point(s, r), normal(s, r)] as const;
        const [a, b, c, d] = [
          corner(side, ring),
          corner(side + 1, ring),
          corner(side + 1, ring + 1),
          corner(side, ring + 1),
        ];
        this.triangle(a[0], b[0], c[0], colour, glow, [a[1], b[1], c[1]]);
        this.triangle(a[0], c[0], d[0], colour, glow, [a[1], c[1], d[1]]);
      }
    }
  }
}

/** Takes a point from a thing's own axes to the world's. */
export type Frame = (point: Vec3) => Vec3;

/** Turned about the vertical by `turn` degrees (clockwise seen from above), enlarged, and put at a place. */
export function frameAt(origin: Vec3, turn = 0, scale = 1): Frame {
  const angle = (turn * Math.PI) / 180;
  const [sin, cos] = [Math.sin(angle) * scale, Math.cos(angle) * scale];
  return ([x, y, z]) => [
    origin[0] + x * cos - z * sin,
    origin[1] + y * scale,
    origin[2] + x * sin + z * cos,
  ];
}

export const minus = (a: Vec3, b: Vec3): Vec3 => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
export const middle = (a: Vec3, b: Vec3): Vec3 => [
  (a[0] + b[0]) / 2,
  (a[1] + b[1]) / 2,
  (a[2] + b[2]) / 2,
];

export function cross(a: Vec3, b: Vec3): Vec3 {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

export function unit(v: Vec3): Vec3 {
  const length = Math.hypot(...v) || 1;
  return [v[0] / length, v[1] / length, v[2] / length];
}

/** `0xrrggbb` as three numbers from 0 to 1. */
export const rgb = (hex: number): Vec3 => [
  ((hex >> 16) & 255) / 255,
  ((hex >> 8) & 255) / 255,
  (hex & 255) / 255,
];
