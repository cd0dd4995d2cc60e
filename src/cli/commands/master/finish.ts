import { Command } from 'commander';
import { KEEPS } from '../../../master/finish/types.js';
import type { FinishOptions } from '../../../master/finish.js';
import { helpAfter } from '../../help.js';
import { collect, jsonOption, OptionReader, overwriteOption, quietOption } from '../../options.js';
import { given, numberWithin, oneOf } from '../../values.js';
import { type MakingWords, making } from '../../working.js';
import {
  encodedQualityOption,
  pictureOut,
  readEncodedQuality,
  readSeed,
  seedOption,
} from './out-options.js';
import { type PlacingWords, readPlacing, withPlacingOptions } from './placing-options.js';

interface Words extends PlacingWords, MakingWords {
  readonly out: string;
  readonly keep?: readonly string[];
  readonly heading?: string;
  readonly stripPlace?: boolean;
  readonly seed?: string;
  readonly quality?: string;
}

export const finishCommand = (signal: AbortSignal): Command =>
  withPlacingOptions(
    new Command('finish')
      .description('All of it where needed: inspect, complete, level and mark, in this order.')
      .summary('all of that, where needed, in one go')
      .argument('<file>', 'the master: a photo; it stays as it is')
      .requiredOption('--out <file>', pictureOut)
      .option(
        '--keep <what>',
        `leave as it is: ${KEEPS.join(' or ')} (its lean); repeat it for both`,
        collect,
      )
      .option('--heading <deg>', 'compass heading of the centre, 0 to below 360, for the metadata')
      .option('--strip-place', 'remove where it was taken from all metadata'),
  )
    .addOption(seedOption())
    .addOption(encodedQualityOption())
    .addOption(overwriteOption())
    .addOption(jsonOption())
    .addOption(quietOption())
    .addHelpText(
      'after',
      helpAfter({
        examples: [
          'orbreel master finish flight.jpg --out valley.jpg',
          'orbreel master finish flight.jpg --strip-place --out web.jpg',
          'orbreel master finish walk.jpg --keep tilt --out valley.tif',
        ],
        notes: [
          'What is whole, level and rightly marked stays as it is: finishing twice changes',
          'nothing. A lean that it is unsure of is left alone, and said.',
          'Before you publish, mind who lives there: --strip-place takes the position out.',
          'Not when you want your own fill or patch: use complete, level and mark singly.',
        ],
      }),
    )
    .action(
      making(signal, async (words: Words) => {
        const options = readOptions(words);
        const { describeFinish, finishMaster } = await import('../../../master/finish.js');
        return {
          run: (job) => finishMaster({ ...options, ...job, output: words.out }),
          inWords: (report) => [describeFinish(report)],
          failed: ({ mark }) => (mark.place?.remaining.length ?? 0) > 0,
        };
      }),
    );

function readOptions(words: Words): Omit<FinishOptions, 'input' | 'output'> {
  const reader = new OptionReader();
  const { stripPlace, overwrite } = words;
  const keep = words.keep?.flatMap(
    (text) => reader.read('--keep', text, `takes ${KEEPS.join(' or ')}`, oneOf(KEEPS)) ?? [],
  );
  const place = readPlacing(reader, words);
  const heading = reader.read(
    '--heading',
    words.heading,
    'takes a compass heading from 0 to below 360 degrees',
    numberWithin(0, 359.999999),
  );
  const seed = readSeed(reader, words.seed);
  const quality = readEncodedQuality(reader, words.quality);
  reader.done();
  return { place, ...given({ keep, heading, stripPlace, seed, quality, overwrite }) };
}
