/** Planes of 10 bits in 16-bit little-endian words, under ffmpeg's names. */
export type Yuv10Format = 'yuv422p10le' | 'yuv444p10le' | 'yuva444p10le';

/** ITU-R BT.709-6, item 3.2: E'Y of red, green, blue; the differences are divided by 1.8556 and 1.5748. */
const RED = 0.2126;
const GREEN = 0.7152;
const BLUE = 0.0722;
const MOST = 65535;
/** Item 4.6, for 10 bits: 876 codes for Y', 896 for the differences; the half rounds. */
const LUMA = 876 / MOST;
const CHROMA = 896 / MOST;
const BLACK = 64.5;
const GREY = 512.5;
const CB = { red: -RED / 1.8556, green: -GREEN / 1.8556, blue: (1 - BLUE) / 1.8556 };
const CR = { red: (1 - RED) / 1.5748, green: -GREEN / 1.5748, blue: -BLUE / 1.5748 };

export const yuv10Bytes = (format: Yuv10Format, width: number, height: number): number =>
  width * height * (format === 'yuv422p10le' ? 4 : format === 'yuv444p10le' ? 6 : 8);

/**
 * `rgba64le` as Y'CbCr: BT.709, limited range of 10 bits, rounded to the nearest code; alpha over the full
 * range of 10 bits. ffmpeg's own converter takes 65280 of 65535 for white where samples have 16 bits, and
 * is up to 3 codes off (measured with 5.1: white 943 in place of 940).
 */
export function toYuv10(
  rgba64: Uint8Array,
  width: number,
  height: number,
  format: Yuv10Format,
  into: Uint8Array,
): void {
  const pixels = width * height;
  const from = words(rgba64);
  const to = words(into);
  for (let at = 0, pixel = 0; pixel < pixels; at += 4, pixel++) {
    const luma = RED * from[at]! + GREEN * from[at + 1]! + BLUE * from[at + 2]!;
    to[pixel] = luma * LUMA + BLACK;
  }
  if (format === 'yuv422p10le') halvedChroma(from, width, height, to);
  else fullChroma(from, pixels, to);
  if (format === 'yuva444p10le') alpha(from, pixels, to);
}

function fullChroma(from: Uint16Array, pixels: number, to: Uint16Array): void {
  for (let at = 0, pixel = 0; pixel < pixels; at += 4, pixel++) {
    const [r, g, b] = [from[at]!, from[at + 1]!, from[at + 2]!];
    to[pixels + pixel] = cb(r, g, b) * CHROMA + GREY;
    to[2 * pixels + pixel] = cr(r, g, b) * CHROMA + GREY;
  }
}

function alpha(from: Uint16Array, pixels: number, to: Uint16Array): void {
  for (let at = 3, pixel = 0; pixel < pixels; at += 4, pixel++) {
    to[3 * pixels + pixel] = from[at]! * (1023 / MOST) + 0.5;
  }
}

/** 4:2:2's chroma lies on every other pixel of a row (BT.709-6, item 3.5), so it is the mean 1 2 1 about it. */
function halvedChroma(from: Uint16Array, width: number, height: number, to: Uint16Array): void {
  const half = width / 2;
  let u = width * height;
  let v = u + half * height;
  for (let y = 0; y < height; y++) {
    const row = y * width * 4;
    for (let x = 0; x < width; x += 2) {
      const at = row + x * 4;
      const left = x === 0 ? at : at - 4;
      const r = from[left]! + 2 * from[at]! + from[at + 4]!;
      const g = from[left + 1]! + 2 * from[at + 1]! + from[at + 5]!;
      const b = from[left + 2]! + 2 * from[at + 2]! + from[at + 6]!;
      to[u++] = cb(r, g, b) * (CHROMA / 4) + GREY;
      to[v++] = cr(r, g, b) * (CHROMA / 4) + GREY;
    }
  }
}

const cb = (r: number, g: number, b: number): number => CB.red * r + CB.green * g + CB.blue * b;
const cr = (r: number, g: number, b: number): number => CR.red * r + CR.green * g + CR.blue * b;

const words = (bytes: Uint8Array): Uint16Array =>
  bytes.byteOffset % 2 === 0
    ? new Uint16Array(bytes.buffer, bytes.byteOffset, bytes.length / 2)
    : words(Uint8Array.from(bytes));
