import type { PlaneLayout } from '../../master/video/layout.js';
import type { VideoColour } from '../../master/video/types.js';

/** Kr and Kb: ITU-R BT.709-6 item 3.2, BT.601-7 item 2.5.1, BT.2020-2 table 4. */
const LUMA: Readonly<Record<VideoColour['matrix'], readonly [red: number, blue: number]>> = {
  bt709: [0.2126, 0.0722],
  bt601: [0.299, 0.114],
  bt2020: [0.2627, 0.0593],
};

/** Linear light of BT.2020's primaries as BT.709's, ITU-R BT.2087-0 item 4; column by column. */
export const BT2020_TO_BT709 = [
  ...[1.6605, -0.1246, -0.0182],
  ...[-0.5876, 1.1329, -0.1006],
  ...[-0.0728, -0.0083, 1.1187],
] as const;

export interface Conversion {
  /** Column by column: Y'CbCr less `zero`, as shares of the largest code, to R'G'B', white 1. */
  readonly matrix: readonly number[];
  readonly zero: readonly [number, number, number];
}

/** How a stream's samples, 0 to 1 for the largest code, become R'G'B'. */
export function conversionOf(
  { matrix, range }: Pick<VideoColour, 'matrix' | 'range'>,
  { bits }: Pick<PlaneLayout, 'bits'>,
): Conversion {
  const [red, blue] = LUMA[matrix];
  const green = 1 - red - blue;
  const most = 2 ** bits - 1;
  const step = 2 ** (bits - 8);
  const isLimited = range === 'limited';
  const luma = isLimited ? most / (219 * step) : 1;
  const chroma = isLimited ? most / (224 * step) : 1;
  const fromBlue = 2 * (1 - blue) * chroma;
  const fromRed = 2 * (1 - red) * chroma;
  const none = (128 * step) / most;
  return {
    matrix: [
      ...[luma, luma, luma],
      ...[0, (-blue / green) * fromBlue, fromBlue],
      ...[fromRed, (-red / green) * fromRed, 0],
    ],
    zero: [isLimited ? (16 * step) / most : 0, none, none],
  };
}
