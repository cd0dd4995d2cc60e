import { fields, terraces } from './fields.js';
import { cellHash, fractal, noise, smoothstep } from './noise.js';
import { mixed, paint, type Rgb, shade } from './paint.js';
import { NO_PATH, pathDistance } from './paths.js';
import { CHURCH, HOUSES, MILL } from './place.js';
import { treeDensity } from './terrain.js';

const SAND: Rgb = [204, 184, 146];
const SNOW: Rgb = [238, 242, 250];
const ROCK: Rgb = [112, 106, 104];

/**
 * The albedo of the bare ground (no trees) at a place.
 *
 * @param height the ground there, in metres; @param slope rise over run; @param texel metres a texel;
 * @param shore metres to the lake's shore.
 * @returns three sRGB bytes in an array that the next call overwrites.
 */
export function coverAt(
  x: number,
  z: number,
  height: number,
  slope: number,
  texel: number,
  shore: number,
) {
  if (height < 0) return bed(x, z, height);
  meadow(x, z, texel);
  const distance = Math.sqrt(x * x + z * z);
  if (distance < 700) {
    fields(x, z, shore, texel);
    terraces(x, z, height, shore, texel);
    if (distance < 150) plots(x, z);
    const path = pathDistance(x, z);
    if (path < NO_PATH) trodden(x, z, path);
    paint(SAND, 1 - smoothstep(0.8, 4.5, shore + noise(x / 3, z / 3) * 1.5));
  }
  if (texel > 1.5) woods(x, z, height, shore, texel);
  if (height > 90) alpine(x, z, height, slope);
  return mixed;
}

function bed(x: number, z: number, height: number) {
  mixed[0] = mixed[1] = mixed[2] = 0;
  paint(SAND, 0.86);
  shade(0.9 + 0.15 * fractal(x / 5, z / 5, 3));
  paint([70, 96, 84], smoothstep(1, 5, -height + 1.5 * noise(x / 9, z / 9)) * 0.75);
  return mixed;
}

function meadow(x: number, z: number, texel: number): void {
  const broad = fractal(x / 48, z / 48, 4);
  mixed[0] = 92;
  mixed[1] = 110;
  mixed[2] = 64;
  paint([126, 124, 80], smoothstep(-0.1, 0.55, broad));
  paint([74, 98, 52], smoothstep(0.05, 0.6, -broad));
  if (texel > 0.6) return;
  const tufts = fractal(x / 1.7, z / 1.7, 3);
  shade(1 + 0.2 * tufts);
  const bloom = smoothstep(0.05, 0.4, noise(x / 11 + 9, z / 11)) * 0.75;
  const [i, j] = [Math.floor(x / 0.45), Math.floor(z / 0.45)];
  if (bloom === 0 || cellHash(i, j, 20) > 0.2 * bloom) return;
  const dx = x / 0.45 - i - 0.3 - 0.4 * cellHash(i, j, 21);
  const dz = z / 0.45 - j - 0.3 - 0.4 * cellHash(i, j, 22);
  const kind = noise(x / 17, z / 17 + 50);
  const petals: Rgb = kind > 0.1 ? [236, 226, 232] : kind > -0.3 ? [238, 206, 80] : [206, 120, 160];
  paint(petals, 0.9 * (1 - smoothstep(0.12, 0.42, Math.sqrt(dx * dx + dz * dz))));
}

function plots(x: number, z: number): void {
  for (const { place } of HOUSES) {
    const away = Math.hypot(x - place[0], z - place[1]);
    if (away > 14) continue;
    const d = away + 2 * noise(x / 3, z / 3);
    paint([150, 138, 98], 0.6 * (1 - smoothstep(8, 12, d)));
  }
  const yard = Math.hypot(x - CHURCH[0], z - CHURCH[1]) + 1.5 * noise(x / 3, z / 3);
  if (yard < 16) paint([182, 168, 138], 0.7 * (1 - smoothstep(12, 14, yard)));
  const mound = Math.hypot(x - MILL[0], z - MILL[1]) + 1.5 * noise(x / 3, z / 3);
  if (mound < 12) paint([186, 168, 128], 0.8 * (1 - smoothstep(8, 10.5, mound)));
}

function trodden(x: number, z: number, path: number): void {
  const ragged = path + 0.35 * noise(x * 1.3, z * 1.3) + 0.2 * noise(x * 4, z * 4);
  paint([128, 122, 74], 0.6 * (1 - smoothstep(0.2, 1.6, ragged)));
  paint([214, 192, 150], 1 - smoothstep(-0.2, 0.25, ragged));
  if (ragged < 0) shade(0.97 + 0.1 * fractal(x / 0.9, z / 0.9, 2));
}

/** Where trees are too small for the map they become a dark, mottled canopy. */
function woods(x: number, z: number, height: number, shore: number, texel: number): void {
  if (height > 600) return;
  const share =
    treeDensity(x, z, shore) * (1 - smoothstep(430, 560, height + 80 * noise(x / 200, z / 200)));
  paint([54, 74, 44], share * (texel > 5 ? 0.95 : 0.6));
  shade(1 + 0.3 * share * noise(x / (2.3 * texel), z / (2.3 * texel)));
}

function alpine(x: number, z: number, height: number, slope: number): void {
  const rough = fractal(x / 260, z / 260, 5);
  paint([118, 116, 78], smoothstep(330, 620, height + 160 * rough) * 0.8);
  const steep = smoothstep(0.5, 0.95, slope + 0.25 * rough) * smoothstep(120, 420, height);
  paint(ROCK, Math.max(steep, smoothstep(560, 800, height + 200 * rough)));
  shade(1 + 0.22 * fractal(x / 60, z / 60, 3));
  const line = 640 + 220 * rough + 420 * smoothstep(0.75, 1.5, slope);
  paint(SNOW, smoothstep(line - 40, line + 130, height));
}
