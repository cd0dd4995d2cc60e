import { Command } from 'commander';
import type { CompleteOptions, PatchOptions } from '../../../master/complete.js';
import { helpAfter } from '../../help.js';
import { shown } from '../../names.js';
import { jsonOption, OptionReader, overwriteOption, quietOption } from '../../options.js';
import { given, numberWithin, oneOf, parseHexColour } from '../../values.js';
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
  readonly fill?: string;
  readonly colour?: string;
  readonly mask?: string;
  readonly patch?: string;
  readonly patchRadius?: string;
  readonly patchAt?: string;
  readonly patchTurn?: string;
  readonly seed?: string;
  readonly quality?: string;
}

export const completeCommand = (signal: AbortSignal): Command =>
  withPlacingOptions(
    new Command('complete')
      .description('Make a whole sphere of a partial master, and fill its holes.')
      .summary('make a whole sphere of it, fill its holes')
      .argument('<file>', 'the master: a photo; it stays as it is')
      .requiredOption('--out <file>', pictureOut),
  )
    .option('--fill <how>', 'texture, smooth, colour, or patch with --patch (default: texture)')
    .option('--colour <#rrggbb>', "with --fill colour (default: the mean of each hole's rim)")
    .option(
      '--mask <image>',
      'white where it is to be filled (a tripod, a person), in place of the areas of one colour that inspect finds',
    )
    .option('--patch <image>', 'a round picture to lay over the nadir, such as your mark')
    .option('--patch-radius <deg>', 'of the patch, to 90 (default: 12)')
    .option('--patch-at <pole>', 'nadir or zenith (default: nadir)')
    .option('--patch-turn <deg>', 'turn the patch clockwise as seen (default: 0)')
    .addOption(seedOption())
    .addOption(encodedQualityOption())
    .addOption(overwriteOption())
    .addOption(jsonOption())
    .addOption(quietOption())
    .addHelpText(
      'after',
      helpAfter({
        examples: [
          'orbreel master complete flight.jpg --top 52 --out whole.tif',
          'orbreel master complete walk.jpg --mask tripod.png --out whole.jpg',
          'orbreel master complete walk.jpg --patch mark.png --out signed.jpg',
        ],
        notes: [
          'A master whose metadata say where it lies needs no numbers. It is placed at',
          'its own scale and never stretched; known pixels stay as they are.',
          'Not to hide what must be seen: what is filled is invented. And not for a',
          'picture that is flat: `orbreel master mark --flat` says so of it.',
        ],
      }),
    )
    .action(
      making(signal, async (words: Words) => {
        const options = readOptions(words);
        const { makeWhole } = await import('../../../master/finish/whole.js');
        const { completionInWords } = await import('../../../master/finish/describe.js');
        return {
          run: (job) => makeWhole({ ...options, ...job, output: words.out }),
          inWords: (report) => [
            `${shown(words.out)}  ${completionInWords(report)}`,
            ...[...report.notes, ...report.mark.notes].map((note) => `  note: ${note}`),
          ],
        };
      }),
    );

const FILLS = ['texture', 'smooth', 'colour', 'patch'] as const;

function readOptions(words: Words): Omit<CompleteOptions, 'input' | 'output'> {
  const reader = new OptionReader();
  const { mask, overwrite } = words;
  const place = readPlacing(reader, words);
  const fill = reader.read('--fill', words.fill, `takes ${FILLS.join(', ')}`, oneOf(FILLS));
  const colour = reader.read(
    '--colour',
    words.colour,
    'takes a colour such as #4080c0',
    parseHexColour,
  );
  const laid = readPatch(reader, words, fill);
  if (colour !== undefined && fill !== 'colour') {
    reader.problem('--colour', 'needs --fill colour beside it');
  }
  const seed = readSeed(reader, words.seed);
  const quality = readEncodedQuality(reader, words.quality);
  reader.done();
  return {
    place,
    ...given({ mask, fill, colour, seed, quality, overwrite, patch: laid }),
  };
}

const POLES = ['nadir', 'zenith'] as const;

function readPatch(reader: OptionReader, words: Words, fill?: string): PatchOptions | undefined {
  const degrees = (option: string, text: string | undefined, least: number, most: number) =>
    reader.read(option, text, `takes degrees from ${least} to ${most}`, numberWithin(least, most));
  const how = given({
    radius: degrees('--patch-radius', words.patchRadius, 0.5, 90),
    at: reader.read('--patch-at', words.patchAt, 'takes nadir or zenith', oneOf(POLES)),
    turn: degrees('--patch-turn', words.patchTurn, -360, 360),
  });
  const { patch } = words;
  if (patch !== undefined) return { ...how, image: patch };
  if (fill === 'patch') reader.problem('--patch', 'is missing: the picture for --fill patch');
  else if (Object.keys(how).length > 0) {
    reader.problem('--patch', 'is missing: the picture that the other --patch options are about');
  }
  return undefined;
}
