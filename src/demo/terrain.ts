import { fractal, noise, ridged, smoothstep } from './noise.js';
import { NO_PATH, pathDistance } from './paths.js';
import { at, CHURCH, HOUSES, MILL, ORCHARD, TERRACES } from './place.js';

const [BAY_X, BAY_Z] = at(56, 470);
const [ARM_X, ARM_Z] = at(33, 2100);
const [MILL_X, MILL_Z] = MILL;
const [HILL_X, HILL_Z] = TERRACES.centre;

/** Metres to the lake's shore, about: positive on land, negative on the water. */
export function shoreDistance(x: number, z: number): number {
  const bay = ellipse(x - BAY_X, z - BAY_Z, 0.83, -0.56, 430, 300);
  const arm = ellipse(x - ARM_X, z - ARM_Z, 0.545, -0.838, 1850, 330);
  const blend = Math.max(0, 1 - Math.abs(bay - arm) / 160);
  const joined = Math.min(bay, arm) - blend * blend * 40;
  const near = 1 - smoothstep(70, 150, Math.abs(joined));
  if (near === 0) return joined;
  return joined + near * (22 * fractal(x / 130 + 3.1, z / 130, 3) + 3 * noise(x / 14, z / 14));
}

function ellipse(x: number, z: number, ax: number, az: number, along: number, across: number) {
  const a = (x * ax + z * az) / along;
  const b = (z * ax - x * az) / across;
  const q = Math.sqrt(a * a + b * b);
  // The gradient's length turns the ellipse's own measure into metres near its rim.
  const slope =
    Math.sqrt((a * a) / (along * along) + (b * b) / (across * across)) / Math.max(q, 1e-6);
  return (q - 1) / Math.max(slope, 1 / along);
}

/** How much of the terraced slope a place belongs to, 0 to 1. */
export function terraceShare(x: number, z: number): number {
  const [dx, dz] = [x - HILL_X, z - HILL_Z];
  const away = Math.sqrt(dx * dx + dz * dz);
  if (away > TERRACES.radius + 40) return 0;
  const d = away + 34 * noise(x / 70, z / 70);
  return 1 - smoothstep(TERRACES.radius * 0.92, TERRACES.radius, d);
}

/** The ground without terraces: the lake's bed below 0, meadows, hills, mountains. */
export function rawGround(x: number, z: number, shore = shoreDistance(x, z)): number {
  if (shore < -120) return -12;
  const bank = shore < 0 ? Math.max(-12, shore * 0.13) : 4.5 * (1 - Math.exp(-shore / 42));
  const land = smoothstep(6, 90, shore);
  let height = bank + land * 2.6 * fractal(x / 70, z / 70, 3);
  const distance = Math.sqrt(x * x + z * z);
  if (distance < 700) {
    height += bump(x - MILL_X, z - MILL_Z, 40, 31);
    const bend = 24 * noise(x / 85 + 5, z / 85);
    height += bump((x - HILL_X) * 0.8 + bend, (z - HILL_Z) * 1.08 - bend, 106, TERRACES.height);
  }
  const hills = smoothstep(70, 1300, shore) * smoothstep(150, 700, distance);
  if (hills > 0) height += hills * (95 + 130 * fractal(x / 520, z / 520, 5));
  const mountains = smoothstep(500, 4600, shore) * smoothstep(1300, 4800, distance);
  if (mountains > 0) {
    const bentX = x + 420 * noise(x / 1900, z / 1900 + 11);
    const bentZ = z + 420 * noise(x / 1900 + 23, z / 1900);
    const crests = ridged(bentX / 3300 + 7.3, bentZ / 3300 - 2.1, 9);
    height += mountains * massif(x, z) * (180 + 2050 * crests ** 1.7);
  }
  return height;
}

function bump(x: number, z: number, radius: number, height: number): number {
  const q = (x * x + z * z) / (radius * radius);
  return q > 9 ? 0 : height * Math.exp(-q * (0.6 + 0.4 * q));
}

/** How high the mountains stand by direction: low below the sun and behind the windmill. */
function massif(x: number, z: number): number {
  const lon = (Math.atan2(x, -z) * 180) / Math.PI;
  const notch = (centre: number, width: number, depth: number) => {
    const d = (lon - centre) / width;
    return 1 - depth * Math.exp(-d * d);
  };
  return notch(35, 22, 0.62) * notch(-25, 13, 0.45);
}

/** The ground everyone stands on, terraces and levelled house plots included. */
export function ground(x: number, z: number, shore = shoreDistance(x, z)): number {
  const raw = rawGround(x, z, shore);
  const share = terraceShare(x, z);
  if (share === 0 || raw < 5) return raw;
  const level = raw / TERRACES.step;
  const tread = Math.floor(level);
  const riser = smoothstep(0.86, 0.94, level - tread);
  const stepped = (tread + riser + 0.1 * (level - tread)) * TERRACES.step;
  return raw + (stepped - raw) * share;
}

/** How thickly trees stand, 0 to 1: woods on the slopes, single trees in the meadow, none on paths. */
export function treeDensity(x: number, z: number, shore = shoreDistance(x, z)): number {
  if (shore < 5) return 0;
  const distance = Math.sqrt(x * x + z * z);
  if (distance < 13 || (distance < 420 && clearing(x, z))) return 0;
  const groves = fractal(x / 95 + 40, z / 95, 3);
  const woods = smoothstep(130, 330, distance + 120 * groves) * smoothstep(-0.32, 0.05, groves);
  const lakeside = 0.4 * (1 - smoothstep(16, 34, shore)) * smoothstep(0.0, 0.3, groves);
  if (inOrchard(x, z)) return 0.88;
  const meadow = 0.03 + 0.32 * smoothstep(0.2, 0.42, groves) * smoothstep(25, 60, distance);
  const terraces = 1 - 0.965 * terraceShare(x, z);
  return Math.max(woods, lakeside, meadow) * terraces;
}

/** The orchard's trees stand in rows and blossom. */
export function inOrchard(x: number, z: number): boolean {
  return Math.hypot((x - ORCHARD[0]) * 1.25, z - ORCHARD[1]) < 30;
}

function clearing(x: number, z: number): boolean {
  if (pathDistance(x, z) < NO_PATH * 0.55) return true;
  if (Math.hypot(x - MILL_X, z - MILL_Z) < 21) return true;
  if (Math.hypot(x - CHURCH[0], z - CHURCH[1]) < 15) return true;
  return HOUSES.some(({ place }) => Math.hypot(x - place[0], z - place[1]) < 11);
}
