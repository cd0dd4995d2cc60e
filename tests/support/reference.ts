import type { Camera } from '../../src/camera/types.js';
import { decodeSrgb, encodeSrgb } from '../../src/colour.js';
import type { Pixels } from '../../src/master/pixels.js';
import { blendRays } from '../../src/projection/blend.js';
import { findLens } from '../../src/projection/index.js';
import type { Landing, Ray } from '../../src/projection/types.js';
import { traceBall } from './ball.js';

/**
 * The renderer's double-precision counterpart: every pixel the average, in linear light, of
 * `side` x `side` rays, each looked up in the full master: bilinearly in linear light, and, going over
 * from one texel a pixel to two pixels a texel, bicubically (Catmull-Rom, encoded). No levels of detail,
 * so the footprint of a pixel must not be larger than about 2 * side texels. A ball's light is traced for
 * each ray, which looks up the master as the change of its own direction asks for.
 */
export function referenceFrame(
  master: Pixels,
  camera: Camera,
  width: number,
  height: number,
  side: number,
): Uint8Array {
  const out = new Uint8Array(width * height * 4);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const through = (px: number, py: number) =>
        rayThrough(camera, (px / width) * 2 - 1, 1 - (py / height) * 2);
      const cubic = magnification(master, through, x + 0.5, y + 0.5);
      const sum = new Float64Array(3);
      for (let j = 0; j < side; j++) {
        for (let i = 0; i < side; i++) {
          const { coverage, ray } = through(x + (i + 0.5) / side, y + (j + 0.5) / side);
          if (coverage === 0) continue;
          const share = coverage / side ** 2;
          const lights = ballLights(
            master,
            camera,
            through,
            x + (i + 0.5) / side,
            y + (j + 0.5) / side,
          );
          if (lights !== undefined) {
            for (const light of lights) addLight(sum, master, light, share);
            continue;
          }
          const place = texelPlace(master, turn(camera.rotation, ray));
          if (cubic < 1) addBilinear(sum, master, place, share * (1 - cubic));
          if (cubic > 0) addBicubic(sum, master, place, share * cubic);
        }
      }
      const at = (y * width + x) * 4;
      for (let c = 0; c < 3; c++) out[at + c] = Math.round(255 * encodeSrgb(sum[c]!));
      out[at + 3] = 255;
    }
  }
  return out;
}

type Through = (x: number, y: number) => { coverage: number; ray: Ray };

function rayThrough({ lenses, mix }: Camera, x: number, y: number): { coverage: number; ray: Ray } {
  const land = (lens: (typeof lenses)[number]): Landing =>
    findLens(lens.projection).toRay([x * lens.halfExtent[0], y * lens.halfExtent[1]], lens.params);
  const [from, to] = lenses;
  if (to !== undefined) return blendRays(land(from), land(to), mix);
  const { inside, ray } = land(from);
  return { coverage: Number(inside), ray };
}

interface BallLight {
  readonly direction: Ray;
  readonly share: readonly number[];
  readonly cubic: number;
}

/** What a ball sends through (x, y), if it is hit there. */
function ballLights(
  master: Pixels,
  { ball, rotation }: Camera,
  through: Through,
  x: number,
  y: number,
): BallLight[] | undefined {
  if (ball === undefined) return undefined;
  const trace = (px: number, py: number) => traceBall(ball, turn(rotation, through(px, py).ray));
  const lights = trace(x, y);
  if (lights === undefined) return undefined;
  const [right, down] = [trace(x + STEP, y), trace(x, y + STEP)];
  return lights.map(({ direction, share }, index) => {
    const there = [right, down].map((neighbours) => neighbours?.[index]?.direction);
    // Beyond the rim is nothing to compare with; so near to it, no texel is large.
    const cubic = there.includes(undefined)
      ? 0
      : magnified(master, direction, there[0]!, there[1]!);
    return { direction, share, cubic };
  });
}

function addLight(
  sum: Float64Array,
  master: Pixels,
  { direction, share: shares, cubic }: BallLight,
  share: number,
): void {
  const own = new Float64Array(3);
  const place = texelPlace(master, direction);
  if (cubic < 1) addBilinear(own, master, place, 1 - cubic);
  if (cubic > 0) addBicubic(own, master, place, cubic);
  for (let c = 0; c < 3; c++) sum[c]! += share * shares[c]! * own[c]!;
}

/** Pixels over which a direction's change is taken. */
const STEP = 1e-4;

/** The bicubic lookup's share in the pixel round (x, y). */
function magnification(master: Pixels, through: Through, x: number, y: number): number {
  const rays = [through(x, y), through(x + STEP, y), through(x, y + STEP)].map(({ ray }) => ray);
  return magnified(master, ...(rays as [Ray, Ray, Ray]));
}

/** The same by the directions there and STEP to the right and below. */
function magnified(master: Pixels, here: Ray, right: Ray, below: Ray): number {
  const side = (there: Ray) => there.map((part, i) => (part - here[i]!) / STEP);
  const [a, b] = [side(right), side(below)] as [number[], number[]];
  const [la, lb] = [Math.hypot(...a), Math.hypot(...b)];
  const dot = a.reduce((sum, part, i) => sum + part * b[i]!, 0);
  const area = Math.sqrt(Math.max(0, (la * lb) ** 2 - dot ** 2));
  const texels = (Math.max(Math.sqrt(area), 0.5 * Math.max(la, lb)) * master.height) / Math.PI;
  return Math.min(1, Math.max(0, 2 - 2 * texels));
}

function turn(m: readonly number[], [x, y, z]: Ray): Ray {
  return [
    m[0]! * x + m[3]! * y + m[6]! * z,
    m[1]! * x + m[4]! * y + m[7]! * z,
    m[2]! * x + m[5]! * y + m[8]! * z,
  ];
}

/** Columns and rows, texel centres at whole numbers. */
function texelPlace({ width, height }: Pixels, [x, y, z]: Ray): [u: number, v: number] {
  return [
    (Math.atan2(x, -z) / (2 * Math.PI) + 0.5) * width - 0.5,
    (0.5 - Math.atan2(y, Math.hypot(x, z)) / Math.PI) * height - 0.5,
  ];
}

const LIGHT = Float64Array.from({ length: 256 }, (_, code) => decodeSrgb(code / 255));

function addBilinear(
  sum: Float64Array,
  master: Pixels,
  [u, v]: [number, number],
  share: number,
): void {
  const [column, row] = [Math.floor(u), Math.floor(v)];
  for (let dy = 0; dy < 2; dy++) {
    const down = share * (dy === 0 ? 1 - (v - row) : v - row);
    for (let dx = 0; dx < 2; dx++) {
      const weight = down * (dx === 0 ? 1 - (u - column) : u - column);
      const at = texelIndex(master, column + dx, row + dy) * 3;
      for (let c = 0; c < 3; c++) sum[c]! += weight * LIGHT[master.data[at + c]!]!;
    }
  }
}

function addBicubic(
  sum: Float64Array,
  master: Pixels,
  [u, v]: [number, number],
  share: number,
): void {
  const [column, row] = [Math.floor(u), Math.floor(v)];
  const [across, down] = [catmullRom(u - column), catmullRom(v - row)];
  const code = [0, 0, 0];
  for (let dy = 0; dy < 4; dy++) {
    for (let dx = 0; dx < 4; dx++) {
      const at = texelIndex(master, column + dx - 1, row + dy - 1) * 3;
      for (let c = 0; c < 3; c++) code[c]! += across[dx]! * down[dy]! * master.data[at + c]!;
    }
  }
  for (let c = 0; c < 3; c++) {
    sum[c]! += share * decodeSrgb(Math.min(1, Math.max(0, code[c]! / 255)));
  }
}

/** Catmull, Rom, "A class of local interpolating splines", Computer Aided Geometric Design, 1974. */
function catmullRom(t: number): number[] {
  return [
    ((2 - t) * t - 1) * t * 0.5,
    ((3 * t - 5) * t * t + 2) * 0.5,
    ((4 - 3 * t) * t + 1) * t * 0.5,
    (t - 1) * t * t * 0.5,
  ];
}

/** Index of a texel that may lie beyond the picture's edges: round the seam, or over a pole. */
function texelIndex({ width, height }: Pixels, column: number, row: number): number {
  const over = row < 0 || row >= height;
  const y = row < 0 ? -1 - row : row >= height ? 2 * height - 1 - row : row;
  const x = column + (over ? width / 2 : 0);
  return y * width + (((x % width) + width) % width);
}

/** Peak signal-to-noise ratio in dB of two RGBA frames' colours, 8 bits. */
export function psnr(a: Uint8Array, b: Uint8Array): number {
  let sum = 0;
  let count = 0;
  for (let i = 0; i < a.length; i++) {
    if (i % 4 === 3) continue;
    sum += (a[i]! - b[i]!) ** 2;
    count++;
  }
  return 10 * Math.log10((255 * 255 * count) / Math.max(sum, 1e-9));
}
