import { Option } from 'commander';
import type { OptionReader } from '../../options.js';
import { wholeWithin } from '../../values.js';

export const encodedQualityOption = (): Option =>
  new Option('--quality <n>', 'of JPEG, WebP and AVIF, 1 to 100 (default: 95)');

export const readEncodedQuality = (
  reader: OptionReader,
  text: string | undefined,
): number | undefined =>
  reader.read('--quality', text, 'takes a whole number from 1 to 100', wholeWithin(1, 100));

export const seedOption = (): Option =>
  new Option('--seed <n>', 'a whole number; the same one fills alike (default: 1)');

export const readSeed = (reader: OptionReader, text: string | undefined): number | undefined =>
  reader.read(
    '--seed',
    text,
    'takes a whole number from 0 to 2147483647',
    wholeWithin(0, 2 ** 31 - 1),
  );

/** Formats that a master can be written in. */
export const pictureOut =
  'where it goes: .jpg, .png, .tif, .webp or .avif (.png and .tif lose nothing and keep 16 bits)';
