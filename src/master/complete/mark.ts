import sharp from 'sharp';
import { InputError } from '../../errors.js';
import { clamp, radians, smoothStep } from '../../math.js';
import { headOf } from '../inspect/format.js';
import { onlyTransparency } from '../transparency.js';
import type { PatchOptions } from './types.js';
import type { Easel } from './write.js';

/** The user's round picture, ready to be laid over a pole. */
interface Mark {
  readonly size: number;
  /** RGBA, premultiplied, 0 to 1 for alpha and 8-bit code values times alpha for colours. */
  readonly rgba: Float32Array;
  readonly radius: number;
  readonly feather: number;
  readonly side: 1 | -1;
  readonly turn: number;
}

export function checkPatch(patch: PatchOptions): void {
  const { radius = 12, feather = radius / 10, turn = 0 } = patch;
  if (!(radius > 0 && radius <= 90)) {
    throw new InputError(
      `expected a patch radius of more than 0 and at most 90 degrees, found ${radius}.`,
    );
  }
  if (!(feather >= 0 && feather <= radius)) {
    throw new InputError(
      `expected a feather from 0 to the patch's radius of ${radius} degrees, found ${feather}.`,
    );
  }
  if (!Number.isFinite(turn)) throw new InputError(`expected a turn in degrees, found ${turn}.`);
}

async function readMark(patch: PatchOptions, pixelsPerRadian: number): Promise<Mark> {
  const { radius = 12, feather = radius / 10, at = 'nadir', turn = 0 } = patch;
  const size = Math.min(4096, Math.max(16, Math.round(2 * radians(radius) * pixelsPerRadian)));
  await headOf(patch.image);
  let pixels: Buffer;
  try {
    pixels = await sharp(await onlyTransparency(patch.image), { failOn: 'error' })
      .autoOrient()
      .resize(size, size, { fit: 'cover', kernel: 'lanczos3' })
      .toColourspace('srgb')
      .ensureAlpha()
      .raw({ depth: 'uchar' })
      .toBuffer();
  } catch (error) {
    const reason = error instanceof Error ? error.message.split('\n')[0] : String(error);
    throw new InputError([
      {
        place: patch.image,
        path: '',
        message: `expected a picture for the patch that can be read (${reason}); save it again, for instance as PNG.`,
      },
    ]);
  }
  const rgba = new Float32Array(pixels.length);
  for (let i = 0; i < pixels.length; i += 4) {
    const alpha = pixels[i + 3]! / 255;
    for (let c = 0; c < 3; c++) rgba[i + c] = pixels[i + c]! * alpha;
    rgba[i + 3] = alpha;
  }
  return {
    size,
    rgba,
    radius: radians(radius),
    feather: radians(feather),
    side: at === 'zenith' ? 1 : -1,
    turn: radians(turn),
  };
}

function readPixel(mark: Mark, u: number, v: number, out: Float64Array): void {
  const { size, rgba } = mark;
  const x = clamp(u * size - 0.5, 0, size - 1.001);
  const y = clamp(v * size - 0.5, 0, size - 1.001);
  const x0 = Math.floor(x);
  const y0 = Math.floor(y);
  const [fx, fy] = [x - x0, y - y0];
  const p = 4 * (y0 * size + x0);
  for (let k = 0; k < 4; k++) {
    out[k] =
      (1 - fy) * ((1 - fx) * rgba[p + k]! + fx * rgba[p + 4 + k]!) +
      fy * ((1 - fx) * rgba[p + 4 * size + k]! + fx * rgba[p + 4 * size + 4 + k]!);
  }
}

/**
 * Lays a round picture over the nadir or zenith: its middle at the pole, its rim `radius` degrees
 * away, evenly in angle (equidistant), fading over `feather` degrees inside the rim. It covers
 * known pixels too. Rows it touches are marked as changed.
 */
export async function layPatch(on: Easel, patch: PatchOptions): Promise<void> {
  const { canvas, angles, changed } = on;
  const { width, height, data } = canvas;
  const mark = await readMark(patch, width / (2 * Math.PI));
  const level = canvas.depth === 8 ? 1 : 257;
  const sample = new Float64Array(4);
  const rows = Math.ceil((mark.radius / Math.PI) * height);
  const [cosTurn, sinTurn] = [Math.cos(mark.turn), Math.sin(mark.turn)];
  for (let n = 0; n < rows; n++) {
    const y = mark.side > 0 ? n : height - 1 - n;
    const angle = ((n + 0.5) / height) * Math.PI;
    if (angle >= mark.radius) break;
    const r = angle / mark.radius;
    const cover = mark.feather > 0 ? smoothStep((mark.radius - angle) / mark.feather) : 1;
    for (let x = 0; x < width; x++) {
      // Seen by a camera that looks straight down (or up): right is +x, up is forward (or backward).
      const right = r * angles.sinLongitude[x]!;
      const up = -mark.side * r * angles.cosLongitude[x]!;
      const a = cosTurn * right - sinTurn * up;
      const b = sinTurn * right + cosTurn * up;
      readPixel(mark, (1 + a) / 2, (1 - b) / 2, sample);
      const i = 3 * (y * width + x);
      const keep = 1 - cover * sample[3]!;
      for (let c = 0; c < 3; c++) {
        data[i + c] = Math.round(keep * data[i + c]! + cover * sample[c]! * level);
      }
    }
    changed[y] = 1;
  }
}
