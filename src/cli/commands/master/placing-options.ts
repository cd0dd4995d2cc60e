import type { Command } from 'commander';
import type { PlacementOptions } from '../../../master/complete.js';
import type { OptionReader } from '../../options.js';
import { given, numberWithin, parsePair, parseSize, wholeWithin } from '../../values.js';

export interface PlacingWords {
  readonly top?: string;
  readonly bottom?: string;
  readonly horizon?: string;
  readonly across?: string;
  readonly full?: string;
  readonly at?: string;
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
    .option('--full <WxH>', "or: the whole sphere's size in pixels, with --at")
    .option('--at <x,y>', "pixels from the whole sphere's left and top edges to its own");

const latitude = numberWithin(-90, 90);
const latitudeTakes = 'takes degrees of latitude from -90 to 90';
const MOST = 1e6;
const pixels = wholeWithin(0, MOST);
const sizeTakes = 'takes a width and height in pixels such as 8192x4096';
const atTakes = 'takes two whole numbers of pixels such as 0,1024';

export function readPlacing(reader: OptionReader, words: PlacingWords): PlacementOptions {
  const row = numberWithin(-MOST, MOST);
  const [left, top] = reader.read('--at', words.at, atTakes, parsePair(pixels, pixels)) ?? [];
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
    left,
    top,
  });
  const says = [words.top, words.bottom, words.horizon].some((word) => word !== undefined);
  if (words.across !== undefined && !says) {
    reader.problem('--across', 'needs --top, --bottom or --horizon beside it');
  }
  if (place.full !== undefined && words.at === undefined) {
    reader.problem('--full', 'needs --at beside it: where the picture lies in it');
  }
  if (left !== undefined && words.full === undefined) {
    reader.problem('--at', "needs --full beside it: the whole sphere's size");
  }
  return place;
}
