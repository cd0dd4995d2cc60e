import { heightAt, type Level } from './levels.js';
import { Mesh } from './mesh.js';
import { SUN_DIRECTION, type Vec3 } from './place.js';
import type { Thing } from './things.js';

const LONGEST_SHADOW_IN_M = 320;

type Texel = [column: number, row: number];

/** Draws the shadows of all standing things on the ground of a level: 255 in full shade. */
export function throwShade(level: Level, things: readonly Thing[]): Uint8Array {
  const shade = new Uint8Array(level.size * level.size);
  for (const { corners, standing } of things) {
    if (!standing) continue;
    for (let i = 0; i < corners.length; i += 3 * Mesh.STRIDE) {
      const landed = [0, 1, 2].map((k) => land(level, corners, i + k * Mesh.STRIDE));
      fill(shade, level.size, landed as [Texel, Texel, Texel]);
    }
  }
  return shade;
}

/** Where the sunbeam through a corner meets the ground, in texels. */
function land(level: Level, corners: Float32Array, at: number): Texel {
  let [x, y, z]: Vec3 = [
    corners[at] as number,
    corners[at + 1] as number,
    corners[at + 2] as number,
  ];
  for (let gone = 0; gone < LONGEST_SHADOW_IN_M; ) {
    const gap = y - Math.max(0, heightAt(level, level.ground, x, z));
    if (gap <= 0) break;
    const step = Math.max(0.25, gap * 0.8);
    x -= SUN_DIRECTION[0] * step;
    y -= SUN_DIRECTION[1] * step;
    z -= SUN_DIRECTION[2] * step;
    gone += step;
  }
  return [
    (x + level.half) / level.metresPerTexel - 0.5,
    (z + level.half) / level.metresPerTexel - 0.5,
  ];
}

/** Half a texel of slack keeps thin shadows (rails, spars) from breaking up. */
const SLACK_IN_TEXELS = 0.4;

function fill(shade: Uint8Array, size: number, [a, b, c]: readonly [Texel, Texel, Texel]): void {
  const turn = Math.sign((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) || 1;
  const [p, q, r] = [edge(a, b, turn), edge(b, c, turn), edge(c, a, turn)];
  const low = (k: 0 | 1) => Math.max(0, Math.ceil(Math.min(a[k], b[k], c[k]) - SLACK_IN_TEXELS));
  const high = (k: 0 | 1) =>
    Math.min(size - 1, Math.floor(Math.max(a[k], b[k], c[k]) + SLACK_IN_TEXELS));
  const [left, right, lower, upper] = [low(0), high(0), low(1), high(1)];
  for (let row = lower; row <= upper; row++) {
    for (let column = left; column <= right; column++) {
      const inside =
        p.x * column + p.y * row + p.from > -SLACK_IN_TEXELS &&
        q.x * column + q.y * row + q.from > -SLACK_IN_TEXELS &&
        r.x * column + r.y * row + r.from > -SLACK_IN_TEXELS;
      if (inside) shade[row * size + column] = 255;
    }
  }
}

/** A line's signed distance as x column + y row + from, positive inside. */
function edge(p: Texel, q: Texel, turn: number): { x: number; y: number; from: number } {
  const [dx, dy] = [q[0] - p[0], q[1] - p[1]];
  const scale = turn / (Math.sqrt(dx * dx + dy * dy) || 1);
  return { x: -dy * scale, y: dx * scale, from: (dy * p[0] - dx * p[1]) * scale };
}
