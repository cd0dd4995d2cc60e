import { smoothStep } from '../../math.js';
import { depthOf } from './texture.js';

/** What the rim's own structures come to, carried into the hole along their direction. */
export interface Transport {
  /** RGB interleaved, over the whole chart; what the picture holds where it is known. */
  readonly value: Float32Array;
  /** How far it counts: 1 at the rim, 0 from `way` pixels on. */
  readonly share: Float32Array;
  /** Steps from the rim. */
  readonly depth: Float32Array;
}

/** Pixels around one from which its value comes. */
const REACH = 4;
/** How sharply values keep to the direction, in pixels across it where all agree on one. */
const ACROSS = 0.6;
/** Squared code values below which a difference between neighbours tells no direction. */
const FAINT = 2;

interface Offset {
  readonly dx: number;
  readonly dy: number;
  readonly near: number;
}

const OFFSETS: readonly Offset[] = Array.from({ length: (2 * REACH + 1) ** 2 }, (_, k) => {
  const dx = (k % (2 * REACH + 1)) - REACH;
  const dy = Math.floor(k / (2 * REACH + 1)) - REACH;
  return { dx, dy, near: 1 / Math.hypot(dx, dy) };
}).filter(({ dx, dy }) => Math.hypot(dx, dy) > 0 && Math.hypot(dx, dy) <= REACH + 0.5);

/** The structure tensor's three components a pixel; all 0 where it is not known all round. */
function tensors(rgb: Float32Array, known: Uint8Array, size: number): Float32Array {
  const out = new Float32Array(3 * known.length);
  for (let y = 1; y < size - 1; y++) {
    for (let x = 1; x < size - 1; x++) {
      const i = y * size + x;
      if (!(known[i] && known[i - 1] && known[i + 1] && known[i - size] && known[i + size]))
        continue;
      for (let c = 0; c < 3; c++) {
        const gx = rgb[3 * (i + 1) + c]! - rgb[3 * (i - 1) + c]!;
        const gy = rgb[3 * (i + size) + c]! - rgb[3 * (i - size) + c]!;
        out[3 * i]! += gx * gx;
        out[3 * i + 1]! += gx * gy;
        out[3 * i + 2]! += gy * gy;
      }
    }
  }
  return out;
}

/**
 * Carries what touches a hole's rim into it, each pixel from those beside it that lie along the
 * structure there, from the rim inwards: a streak of cloud goes on as a streak, a beam as a beam. The
 * direction itself is carried in the same way.
 * Source: Bornemann, März, "Fast Image Inpainting Based on Coherence Transport", J. Math. Imaging and
 * Vision 28, 2007.
 *
 * `rgb` holds the colours of the known pixels of a square of `size`; `hidden` ones do not go on. Nothing
 * is carried beyond `way` pixels.
 */
export function transport(
  rgb: Float32Array,
  known: Uint8Array,
  hidden: Uint8Array,
  size: number,
  way: number,
): Transport {
  const depth = depthOf(known, size);
  const value = rgb.slice();
  const share = new Float32Array(known.length);
  const held = new Float32Array(known.length);
  const order: number[] = [];
  const filled = known.slice();
  for (let i = 0; i < known.length; i++) {
    held[i] = known[i] && !hidden[i] ? 1 : 0;
    share[i] = held[i]!;
    if (known[i] || depth[i]! > way) continue;
    const x = i % size;
    if (x < REACH || x >= size - REACH || i < REACH * size || i >= known.length - REACH * size)
      continue;
    order.push(i);
  }
  order.sort((a, b) => depth[a]! - depth[b]!);
  const tensor = tensors(rgb, known, size);
  for (const i of order) {
    let xx = 0;
    let xy = 0;
    let yy = 0;
    let all = 0;
    for (const { dx, dy, near } of OFFSETS) {
      const q = i + dy * size + dx;
      if (!filled[q]) continue;
      const w = near * held[q]!;
      all += w;
      xx += w * tensor[3 * q]!;
      xy += w * tensor[3 * q + 1]!;
      yy += w * tensor[3 * q + 2]!;
    }
    filled[i] = 1;
    if (all === 0) continue;
    xx /= all;
    xy /= all;
    yy /= all;
    tensor[3 * i] = xx;
    tensor[3 * i + 1] = xy;
    tensor[3 * i + 2] = yy;
    // Across the structure the colours change most: the tensor's first eigenvector.
    const spread = Math.hypot(xx - yy, 2 * xy);
    const angle = 0.5 * Math.atan2(2 * xy, xx - yy);
    const ax = Math.cos(angle);
    const ay = Math.sin(angle);
    const sharp = (spread / (xx + yy + FAINT) / ACROSS) ** 2 / 2;
    let mass = 0;
    let hold = 0;
    let count = 0;
    let r = 0;
    let g = 0;
    let b = 0;
    for (const { dx, dy, near } of OFFSETS) {
      const q = i + dy * size + dx;
      if (!filled[q] || q === i) continue;
      const w = near * (Math.exp(-sharp * (ax * dx + ay * dy) ** 2) + 1e-6);
      count += w;
      hold += w * held[q]!;
      const v = w * held[q]!;
      mass += v;
      r += v * value[3 * q]!;
      g += v * value[3 * q + 1]!;
      b += v * value[3 * q + 2]!;
    }
    held[i] = hold / count;
    value[3 * i] = r / mass;
    value[3 * i + 1] = g / mass;
    value[3 * i + 2] = b / mass;
    share[i] = held[i]! * (1 - smoothStep((depth[i]! - 0.5) / way));
  }
  return { value, share, depth };
}
