import { Command } from 'commander';
import type { MarkOptions } from '../../../master/mark.js';
import { helpAfter } from '../../help.js';
import { jsonOption, OptionReader, overwriteOption, quietOption } from '../../options.js';
import { given, numberWithin, oneOf } from '../../values.js';
import { type MakingWords, making } from '../../working.js';
import { type PlacingWords, readPlacing, withPlacingOptions } from './placing-options.js';

interface Words extends PlacingWords, MakingWords {
  readonly heading?: string;
  readonly pitch?: string;
  readonly roll?: string;
  readonly flat?: boolean;
  readonly stripPlace?: boolean;
  readonly software?: string;
  readonly stereo?: string;
}

const STEREO = ['mono', 'top-bottom', 'left-right', 'right-left'] as const;

export const markCommand = (signal: AbortSignal): Command =>
  withPlacingOptions(
    new Command('mark')
      .description('Make a master say rightly that it is a sphere; its pixels stay as they are.')
      .summary('write what it is into its metadata')
      .argument(
        '<file>',
        'a photo (JPEG, TIFF, PNG, WebP, AVIF) or a video (MP4, MOV, WebM, Matroska)',
      )
      .option('--out <file>', 'where it goes; without it, FILE itself is changed with --overwrite')
      .option(
        '--heading <deg>',
        'compass heading of the centre, 0 to below 360 (default: as it says, else 0)',
      )
      .option('--pitch <deg>', 'how far up the camera looked, -90 to 90')
      .option('--roll <deg>', 'how far clockwise it was turned, above -180 to 180'),
  )
    .option('--flat', 'it is no sphere: remove what claims so')
    .option('--strip-place', 'remove where it was taken from all metadata')
    .option('--software <name>', 'the program that made the sphere')
    .option('--stereo <eyes>', `of a video: ${STEREO.join(', ')} (default: mono)`)
    .addOption(overwriteOption())
    .addOption(jsonOption())
    .addOption(quietOption())
    .addHelpText(
      'after',
      helpAfter({
        examples: [
          'orbreel master mark valley.jpg --overwrite',
          'orbreel master mark valley.jpg --heading 137 --strip-place --out web.jpg',
          'orbreel master mark half.jpg --top 45 --overwrite',
          'orbreel master mark clip.mp4 --flat --out flat.mp4',
        ],
        notes: [
          'Not to make a partial master whole: that is `orbreel master complete`, which',
          'takes the same options for where it lies.',
          'Before you publish, mind who lives there: --strip-place takes the position out',
          'of the metadata, and says what it cannot vouch for. The picture may show it.',
        ],
      }),
    )
    .action(
      making(signal, async (words: Words) => {
        const options = readOptions(words);
        const { describeMark, markMaster } = await import('../../../master/mark.js');
        return {
          run: ({ input }) => markMaster({ ...options, input }),
          inWords: (result) => [describeMark(result)],
          // Who asked for it to go must hear, also in a script, that it has not.
          failed: ({ place }) => (place?.remaining.length ?? 0) > 0,
        };
      }),
    );

function readOptions(words: Words): Omit<MarkOptions, 'input'> {
  const reader = new OptionReader();
  const { out, flat, stripPlace, software, overwrite } = words;
  const angle = (option: string, text: string | undefined, least: number, most: number) =>
    reader.read(option, text, `takes degrees from ${least} to ${most}`, numberWithin(least, most));
  const options = given({
    output: out,
    overwrite,
    flat,
    stripPlace,
    software,
    heading: reader.read(
      '--heading',
      words.heading,
      'takes a compass heading from 0 to below 360 degrees',
      numberWithin(0, 359.999999),
    ),
    pitch: angle('--pitch', words.pitch, -90, 90),
    roll: angle('--roll', words.roll, -179.999999, 180),
    stereo: reader.read('--stereo', words.stereo, `takes ${STEREO.join(', ')}`, oneOf(STEREO)),
  });
  const place = readPlacing(reader, words);
  const placed = Object.keys(place).length > 0;
  const claims = [words.heading, words.pitch, words.roll, software, words.stereo];
  if (flat && (placed || claims.some((word) => word !== undefined))) {
    reader.problem('--flat', 'removes what claims a sphere: it goes with no claim of one');
  }
  if (out === undefined && overwrite !== true) {
    reader.problem(
      '--out',
      'is missing; name the file to write, or add --overwrite to change FILE itself',
    );
  }
  reader.done();
  return { ...options, ...(placed ? { place } : {}) };
}
