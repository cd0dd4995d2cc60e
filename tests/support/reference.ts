import type { Camera, Lens } from '../../src/camera/types.js';
import type { Pixels } from '../../src/master/pixels.js';
import { blendRays } from '../../src/projection/blend.js';
import { findLens } from '../../src/projection/index.js';
import type { Landing, Ray } from '../../src/projection/types.js';
import { decodeSrgb, encodeSrgb } from '../../src/render/colour.js';

/**
 * The renderer's double-precision counterpart: every pixel the average, in linear light, of
 * `side` x `side` rays, each looked up bilinearly in the full master. No levels of detail, so the
 * footprint of a pixel must not be larger than about 2 * side texels.
 */
export function referenceFrame(
  master: Pixels,
  camera: Camera,
  width: number,
  height: number,
  side: number,
): Uint8Array {
  const out = new Uint8Array(width * height * 4);
  const sum = new Float64Array(3);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      sum.fill(0);
      for (let j = 0; j < side; j++) {
        for (let i = 0; i < side; i++) {
          const { coverage, ray } = rayThrough(
            camera,
            ((x + (i + 0.5) / side) / width) * 2 - 1,
            1 - ((y + (j + 0.5) / side) / height) * 2,
          );
          if (coverage > 0) addLight(sum, master, turn(camera.rotation, ray), coverage / side ** 2);
        }
      }
      const at = (y * width + x) * 4;
      for (let c = 0; c < 3; c++) {
        out[at + c] = Math.round(255 * encodeSrgb(sum[c]!));
      }
      out[at + 3] = 255;
    }
  }
  return out;
}

function rayThrough({ lenses, mix }: Camera, x: number, y: number): { coverage: number; ray: Ray } {
  const land = (lens: Lens): Landing =>
    findLens(lens.projection).toRay([x * lens.halfExtent[0], y * lens.halfExtent[1]], lens.params);
  const [from, to] = lenses;
  if (to !== undefined) return blendRays(land(from), land(to), mix);
  const { inside, ray } = land(from);
  return { coverage: Number(inside), ray };
}

function turn(m: readonly number[], [x, y, z]: Ray): [number, number, number] {
  return [
    m[0]! * x + m[3]! * y + m[6]! * z,
    m[1]! * x + m[4]! * y + m[7]! * z,
    m[2]! * x + m[5]! * y + m[8]! * z,
  ];
}

const LIGHT = Float64Array.from({ length: 256 }, (_, code) => decodeSrgb(code / 255));

function addLight(sum: Float64Array, master: Pixels, [x, y, z]: Ray, share: number): void {
  const u = (Math.atan2(x, -z) / (2 * Math.PI) + 0.5) * master.width - 0.5;
  const v = (0.5 - Math.atan2(y, Math.hypot(x, z)) / Math.PI) * master.height - 0.5;
  const column = Math.floor(u);
  const row = Math.floor(v);
  for (const [dy, wy] of [
    [0, 1 - (v - row)],
    [1, v - row],
  ] as const) {
    for (const [dx, wx] of [
      [0, 1 - (u - column)],
      [1, u - column],
    ] as const) {
      const at = texelIndex(master, column + dx, row + dy) * 3;
      for (let c = 0; c < 3; c++) sum[c]! += share * wx * wy * LIGHT[master.data[at + c]!]!;
    }
  }
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
