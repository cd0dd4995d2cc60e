import { type Atlas, FOREIGN, HALF } from './atlas.js';
import type { Matching } from './patchmatch.js';

/** Sources tried for each pixel; more than the coarsest atlas usually has. */
const MOST = 5000;

/**
 * The first guess at the coarsest level: the hole is grown over from the rim inwards, each pixel taken
 * from the source whose surroundings agree best with what is there already. Votes alone start from
 * an average and only ever find flat patches; grown, a cloud cut by the rim goes on behind it.
 * Source: Efros, Leung, "Texture Synthesis by Non-parametric Sampling", ICCV 1999.
 */
export function grow(
  m: Matching,
  atlas: Atlas,
  known: Uint8Array,
  depth: Float32Array,
  everywhere: Uint32Array,
  foreign: Uint32Array,
  slope: number,
  random: () => number,
): void {
  const { size, rgb, band, source, latitude } = m;
  const { rest, width } = atlas;
  const filled = known.slice();
  const choices =
    everywhere.length <= MOST
      ? everywhere
      : Uint32Array.from(
          { length: MOST },
          () => everywhere[Math.floor(random() * everywhere.length)]!,
        );
  const others =
    foreign.length <= MOST
      ? foreign
      : Uint32Array.from({ length: MOST }, () => foreign[Math.floor(random() * foreign.length)]!);
  const order = [...band].filter((i) => !known[i]);
  const rank = Float32Array.from({ length: size * size }, (_, i) => depth[i]! + 0.9 * random());
  order.sort((a, b) => rank[a]! - rank[b]!);
  const here = new Int32Array(49);
  const there = new Int32Array(49);
  const gauss = new Float64Array(49);
  for (const i of order) {
    let count = 0;
    for (let dy = -HALF; dy <= HALF; dy++) {
      for (let dx = -HALF; dx <= HALF; dx++) {
        const p = i + dy * size + dx;
        if (!filled[p]) continue;
        here[count] = 3 * p;
        there[count] = 3 * (dy * width + dx);
        gauss[count] = Math.exp(-(dx * dx + dy * dy) / 8);
        count++;
      }
    }
    let best = Infinity;
    let found = choices[Math.floor(random() * choices.length)]!;
    const attempt = (s: number, favour: number) => {
      const turn = latitude[i]! - atlas.latitude[s]!;
      let cost = slope * turn * turn + (atlas.valid[s] === FOREIGN ? 0.4 * m.strange[i]! : 0);
      for (let k = 0; k < count && cost < best; k++) {
        const a = here[k]!;
        const b = 3 * s + there[k]!;
        const r = rgb[a]! - rest[b]!;
        const g = rgb[a + 1]! - rest[b + 1]!;
        const l = rgb[a + 2]! - rest[b + 2]!;
        cost += favour * gauss[k]! * (r * r + g * g + l * l);
      }
      if (cost < best) {
        best = cost;
        found = s;
      }
    };
    for (const [p, step] of [
      [i - 1, 1],
      [i + 1, -1],
      [i - size, width],
      [i + size, -width],
    ] as const) {
      if (filled[p] && !known[p] && atlas.valid[source[p]! + step]) attempt(source[p]! + step, 0.8);
    }
    for (const s of choices) attempt(s, 1 + 0.2 * random());
    if (0.4 * m.strange[i]! < best) for (const s of others) attempt(s, 1 + 0.2 * random());
    source[i] = found;
    for (let c = 0; c < 3; c++) rgb[3 * i + c] = rest[3 * found + c]!;
    filled[i] = 1;
  }
}
