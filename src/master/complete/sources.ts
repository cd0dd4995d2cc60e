import { type Chart, levelFrame } from './chart.js';
import type { Hole } from './holes.js';
import { generator } from './random.js';
import { type Direction, direction, dot, latitudeOf, longitudeOf, opposite } from './sphere.js';

/** Turns `v` as the shortest turn does that carries `from` to `to`. */
function carry(v: Direction, from: Direction, to: Direction): Direction {
  const n = 1 + dot(from, to);
  const s: Direction = [from[0] + to[0], from[1] + to[1], from[2] + to[2]];
  const a = dot(v, s) / n;
  const b = 2 * dot(v, from);
  return [v[0] - a * s[0] + b * to[0], v[1] - a * s[1] + b * to[1], v[2] - a * s[2] + b * to[2]];
}

function turned(chart: Chart, angle: number): Chart {
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const { right: r, up: u } = chart;
  return {
    ...chart,
    right: [c * r[0] + s * u[0], c * r[1] + s * u[1], c * r[2] + s * u[2]],
    up: [c * u[0] - s * r[0], c * u[1] - s * r[1], c * u[2] - s * r[2]],
  };
}

const mirrored = (chart: Chart): Chart => ({
  ...chart,
  right: opposite(chart.right),
});

const DEGREE = Math.PI / 180;
const MOST_TILES = 9;
/** How far from the pole texture is taken: sky stays clear of mountains and haze where it can. */
const LOWEST = 70 * DEGREE;
const DEEPEST = 84 * DEGREE;

/** How far from a hole's rim texture for it is looked for, radians. */
export function reachOf(hole: Hole): number {
  // A speck finds its like close by.
  const least = Math.min(12 * DEGREE, 6 * hole.radius + 1 * DEGREE);
  const reach = Math.max(least, 0.8 * hole.radius);
  if (hole.pole === 0) return Math.min(reach, 40 * DEGREE);
  const clear = hole.pole > 0 ? Math.max(12 * DEGREE, LOWEST - hole.radius) : reach;
  return Math.min(reach, clear, DEEPEST - hole.radius);
}

/**
 * Charts around a hole from which its texture is taken, each level with the hole's rim beside it, at
 * the scale of the hole's own chart, and mirrored. At a pole they form a ring; elsewhere a row at the
 * hole's latitude, so that what is copied was seen at the same height.
 * Sides are whole multiples of `multiple` pixels.
 */
export function sourceCharts(hole: Hole, target: Chart, multiple: number, seed: number): Chart[] {
  const random = generator(seed);
  const half = Math.min(25 * DEGREE, reachOf(hole) / 2);
  const scale = target.scale / Math.cos(0.35 * hole.radius) ** 2;
  const side = multiple * Math.max(4, Math.ceil((4 * Math.tan(half / 2) * scale) / multiple));
  const charts: Chart[] = [];
  if (hole.pole !== 0) {
    const mid = hole.radius + half;
    const count = Math.min(MOST_TILES, Math.max(4, Math.ceil((4 * Math.sin(mid)) / half)));
    for (let i = 0; i < count; i++) {
      const azimuth = ((i + 0.5) / count) * 2 * Math.PI;
      const centre = direction(azimuth, hole.pole * (Math.PI / 2 - mid));
      const right = carry(target.right, target.centre, centre);
      const up = carry(target.up, target.centre, centre);
      const natural: Chart = { centre, right, up, size: side, scale };
      charts.push(natural, turned(mirrored(natural), (Math.PI / 2) * Math.floor(4 * random())));
    }
    return charts;
  }
  const latitude = latitudeOf(hole.centre);
  const longitude = longitudeOf(hole.centre);
  const step = (1.4 * half) / Math.max(0.2, Math.cos(latitude));
  const first = (hole.radius + half) / Math.max(0.2, Math.cos(latitude));
  for (let i = 0; charts.length < 2 * MOST_TILES - 2 && first + i * step < Math.PI; i++) {
    for (const sign of [-1, 1]) {
      const centre = direction(longitude + sign * (first + i * step), latitude);
      const level: Chart = { centre, ...levelFrame(centre), size: side, scale };
      charts.push(level, mirrored(level));
    }
  }
  return charts;
}
