import { cellHash, fractal, noise, smoothstep } from './noise.js';
import { paint, type Rgb, shade } from './paint.js';
import { MILL, TERRACES } from './place.js';
import { inOrchard, rawGround, terraceShare } from './terrain.js';

const CROPS: readonly { readonly soil: Rgb; readonly plant: Rgb; readonly rows: number }[] = [
  { soil: [112, 104, 84], plant: [134, 110, 160], rows: 1.5 },
  { soil: [160, 136, 82], plant: [190, 164, 98], rows: 1.1 },
  { soil: [118, 104, 72], plant: [88, 112, 58], rows: 2.0 },
  { soil: [110, 122, 64], plant: [128, 138, 74], rows: 1.4 },
  { soil: [168, 150, 70], plant: [204, 182, 80], rows: 0.9 },
  { soil: [124, 98, 74], plant: [104, 122, 66], rows: 1.2 },
  { soil: [92, 108, 58], plant: [106, 124, 62], rows: 1.2 },
  { soil: [100, 108, 60], plant: [176, 92, 74], rows: 1.0 },
];
const STONE: Rgb = [142, 132, 120];

/** A patchwork of narrow fields behind the village and beyond the eastern path. */
export function fields(x: number, z: number, shore: number, texel: number): void {
  const where =
    smoothstep(24, 30, shore) * smoothstep(74, 77, Math.hypot(x, z) + 34 * noise(x / 60, z / 60));
  const range = 1 - smoothstep(430, 470, Math.hypot(x, z) + 90 * noise(x / 90 + 7, z / 90));
  if (
    where * range <= 0 ||
    terraceShare(x, z) > 0.02 ||
    inOrchard(x, z) ||
    Math.hypot(x - MILL[0], z - MILL[1]) < 62
  )
    return;
  const bend = 10 * noise(x / 120 + 3, z / 120);
  const u = (0.9 * x + 0.43 * z + bend) / 21;
  const strip = Math.floor(u);
  const v = (-0.43 * x + 0.9 * z + bend) / 62 + cellHash(strip, 0, 31);
  const plot = Math.floor(v);
  const pick = cellHash(strip, plot, 30);
  if (pick > 0.82) return;
  const edge = Math.min(u - strip, 1 - (u - strip)) * 21;
  const end = Math.min(v - plot, 1 - (v - plot)) * 62;
  const inside = smoothstep(0.5, 0.9, Math.min(edge, end)) * where * range;
  crop(pick / 0.82, (u - strip) * 21, x, z, inside, texel);
}

/** Beds on the terraces' treads, walls at their risers. */
export function terraces(x: number, z: number, height: number, shore: number, texel: number): void {
  const share = terraceShare(x, z);
  if (share === 0 || height < 6) return;
  const level = rawGround(x, z, shore) / TERRACES.step;
  const tread = Math.floor(level);
  const along =
    Math.atan2(z - TERRACES.centre[1], x - TERRACES.centre[0]) * 1.3 + cellHash(tread, 3, 33) * 5;
  const pick = cellHash(tread, Math.floor(along), 34);
  const inside = share * (1 - smoothstep(0.8, 0.84, level - tread));
  crop(pick, (level - tread) * 13, x, z, inside, texel);
  const wall = smoothstep(0.8, 0.85, level - tread) * smoothstep(0.5, 1, share);
  paint(STONE, wall * 0.9);
  if (wall > 0.5) shade(0.9 + 0.25 * noise(x * 2.2, z * 2.2));
}

function crop(
  pick: number,
  across: number,
  x: number,
  z: number,
  share: number,
  texel: number,
): void {
  const kind = CROPS[Math.min(CROPS.length - 1, Math.floor(pick * CROPS.length))];
  if (!kind || share <= 0) return;
  const sharp = 1 - smoothstep(kind.rows * 0.12, kind.rows * 0.4, texel);
  const row = 0.5 + 0.5 * Math.cos((across / kind.rows) * 2 * Math.PI) * sharp;
  const rough = texel < 0.3 ? 0.22 * fractal(x / 0.7 + 0.4 * z, z / 0.7, 2) : 0;
  paint(kind.soil, share);
  paint(kind.plant, share * Math.min(1, Math.max(0, row * 1.25 + rough)));
  shade(1 + share * 0.1 * fractal(x / 19, z / 19, 2));
}
