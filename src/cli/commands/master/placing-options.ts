import type { Command } from 'commander';
import type { PlacementOptions } from '../../../master/complete.js';
import type { OptionReader } from '../../options.js';
import { given, numberWithin, parseSize, wholeWithin } from '../../values.js';

export interface PlacingWords {
  readonly top?: string;
  readonly bottom?: string;
  readonly horizon?: string;
  readonly across?: string;
  readonly full?: string;
  readonly left?: string;
  readonly topPx?: string;
}

/** Where a partial master lies: the same words wherever one is completed. */
export const withPlacingOptions = (command: Command): Command =>
  command
    .option('--top <deg>', 'latitude of its upper edge, 90 (zenith) to -90')
    .option('--bottom <deg>', 'latitude of its lower edge, 90 to -90 (nadir)')
    .option('--horizon <row>', 'the row, in pixels from its top, at which the horizon lies')
    .option(
      '--across <deg>',
      'degrees of longitude that it is wide, with the three above (default: 360)',
    )
    .option('--full <WxH>', "the whole sphere's size in pixels, with --left and --top-px")
    .option('--left <px>', "pixels from the whole sphere's left edge to its own")
    .option('--top-px <px>', "pixels from the whole sphere's top to its own");

const latitude = numberWithin(-90, 90);
const latitudeTakes = 'takes degrees of latitude from -90 to 90';
const MOST = 1e6;
export const pixels = wholeWithin(0, MOST);
export const pixelsTakes = 'takes a whole number of pixels';
export const sizeTakes = 'takes a width and height in pixels such as 8192x4096';

export function readPlacing(reader: OptionReader, words: PlacingWords): PlacementOptions {
  const row = numberWithin(-MOST, MOST);
  const place = given({
    topLatitude: reader.read('--top', words.top, latitudeTakes, latitude),
    bottomLatitude: reader.read('--bottom', words.bottom, latitudeTakes, latitude),
    horizonRow: reader.read('--horizon', words.horizon, 'takes a row in pixels', row),
    across: reader.read(
      '--across',
      words.across,
      'takes degrees from 1 to 360',
      numberWithin(1, 360),
    ),
    full: reader.read('--full', words.full, sizeTakes, parseSize),
    left: reader.read('--left', words.left, pixelsTakes, pixels),
    top: reader.read('--top-px', words.topPx, pixelsTakes, pixels),
  });
  const says = [words.top, words.bottom, words.horizon].some((word) => word !== undefined);
  if (words.across !== undefined && !says) {
    reader.problem('--across', 'needs --top, --bottom or --horizon beside it');
  }
  return place;
}
