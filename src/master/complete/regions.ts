import { angleBetween, type Direction, dot, unit } from './sphere.js';

function root(parent: Uint32Array, i: number): number {
  let r = i;
  while (parent[r] !== r) r = parent[r]!;
  while (parent[i] !== r) {
    const next = parent[i]!;
    parent[i] = r;
    i = next;
  }
  return r;
}

/**
 * Labels the connected regions of `flags` on the sphere: eight neighbours, across longitude ±180°,
 * and over each pole, where all cells of the first or last row touch. Labels count from 1.
 */
export function labelRegions(flags: Uint8Array, width: number, height: number) {
  const parent = new Uint32Array(width * height);
  for (let i = 0; i < parent.length; i++) parent[i] = i;
  const join = (a: number, b: number) => {
    const ra = root(parent, a);
    const rb = root(parent, b);
    if (ra < rb) parent[rb] = ra;
    else parent[ra] = rb;
  };
  for (let j = 0; j < height; j++) {
    let atPole = -1;
    for (let i = 0; i < width; i++) {
      const here = j * width + i;
      if (!flags[here]) continue;
      const east = j * width + (i + 1 === width ? 0 : i + 1);
      if (flags[east]) join(here, east);
      if (j + 1 < height) {
        const below = here + width;
        const west = (j + 1) * width + (i === 0 ? width - 1 : i - 1);
        if (flags[below]) join(here, below);
        if (flags[east + width]) join(here, east + width);
        if (flags[west]) join(here, west);
      }
      if (j === 0 || j === height - 1) {
        if (atPole >= 0) join(here, atPole);
        atPole = here;
      }
    }
  }
  const labels = new Uint32Array(width * height);
  const names = new Map<number, number>();
  for (let i = 0; i < labels.length; i++) {
    if (!flags[i]) continue;
    const r = root(parent, i);
    let name = names.get(r);
    if (name === undefined) {
      name = names.size + 1;
      names.set(r, name);
    }
    labels[i] = name;
  }
  return { labels, count: names.size };
}

/** A cap that holds all `points` (Badoiu and Clarkson's iteration: step towards the farthest). */
export function boundingCap(points: readonly Direction[]): { centre: Direction; radius: number } {
  const sum: [number, number, number] = [0, 0, 0];
  for (const p of points) for (let k = 0; k < 3; k++) sum[k as 0 | 1 | 2] += p[k]!;
  let centre: Direction = Math.hypot(...sum) > 1e-6 * points.length ? unit(sum) : points[0]!;
  const farthest = () => {
    let worst = points[0]!;
    let least = 2;
    for (const p of points) {
      const c = dot(p, centre);
      if (c < least) {
        least = c;
        worst = p;
      }
    }
    return worst;
  };
  let best = centre;
  let bestRadius = angleBetween(centre, farthest());
  for (let n = 1; n <= 60; n++) {
    const far = farthest();
    const radius = angleBetween(centre, far);
    if (radius < bestRadius) {
      bestRadius = radius;
      best = centre;
    }
    const step = 1 / (n + 1);
    centre = unit([
      centre[0] + step * (far[0] - centre[0]),
      centre[1] + step * (far[1] - centre[1]),
      centre[2] + step * (far[2] - centre[2]),
    ]);
  }
  return { centre: best, radius: bestRadius };
}
