import { Command } from 'commander';
import type { MarkOptions } from '../../../master/mark.js';
import { helpAfter } from '../../help.js';
import { jsonOption, OptionReader, overwriteOption, quietOption } from '../../options.js';
import { asJson, print } from '../../terminal.js';
import { given, numberWithin, oneOf, parseSize } from '../../values.js';
import { attempt } from '../../working.js';
import { pixels, pixelsTakes, sizeTakes } from './placing-options.js';

interface Words {
  readonly out?: string;
  readonly heading?: string;
  readonly pitch?: string;
  readonly roll?: string;
  readonly full?: string;
  readonly left?: string;
  readonly top?: string;
  readonly flat?: boolean;
  readonly stripPlace?: boolean;
  readonly software?: string;
  readonly stereo?: string;
  readonly overwrite?: boolean;
  readonly json?: boolean;
  readonly quiet?: boolean;
}

const STEREO = ['mono', 'top-bottom', 'left-right', 'right-left'] as const;

export const markCommand = (signal: AbortSignal): Command =>
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
    .option('--roll <deg>', 'how far clockwise it was turned, above -180 to 180')
    .option('--full <WxH>', "of a partial master: the whole sphere's size in pixels")
    .option('--left <px>', "pixels from the whole sphere's left edge to the master's")
    .option('--top <px>', "pixels from the whole sphere's top to the master's")
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
          'orbreel master mark half.jpg --full 8192x4096 --left 0 --top 1024 --overwrite',
          'orbreel master mark clip.mp4 --flat --out flat.mp4',
        ],
        notes: [
          'Not to make a partial master whole: that is `orbreel master complete`.',
          'Before you publish, mind who lives there: --strip-place takes the position out',
          'of the metadata, and says what it cannot vouch for. The picture may show it.',
        ],
      }),
    )
    .action((file: string, words: Words) => attempt(() => mark(file, words), { ...words, signal }));

async function mark(file: string, words: Words): Promise<void> {
  const { json = false, quiet = false } = words;
  const options = readOptions(words);
  const { describeMark, markMaster } = await import('../../../master/mark.js');
  const result = await markMaster({ ...options, input: file });
  if (json) print(asJson(result));
  else if (!quiet) print(describeMark(result));
}

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
  const crop = readCrop(reader, words);
  const claims = [words.heading, words.pitch, words.roll, words.full, software, words.stereo];
  if (flat && claims.some((word) => word !== undefined)) {
    reader.problem('--flat', 'removes what claims a sphere: it goes with no claim of one');
  }
  if (out === undefined && overwrite !== true) {
    reader.problem(
      '--out',
      'is missing; name the file to write, or add --overwrite to change FILE itself',
    );
  }
  reader.done();
  return { ...options, ...(crop === undefined ? {} : { crop }) };
}

function readCrop(reader: OptionReader, words: Words): MarkOptions['crop'] {
  const full = reader.read('--full', words.full, sizeTakes, parseSize);
  const left = reader.read('--left', words.left, pixelsTakes, pixels);
  const top = reader.read('--top', words.top, pixelsTakes, pixels);
  const named = [words.full, words.left, words.top];
  const count = named.filter((word) => word !== undefined).length;
  if (count === 0) return undefined;
  for (const [index, option] of ['--full', '--left', '--top'].entries()) {
    if (named[index] === undefined) {
      reader.problem(option, 'is missing; --full, --left and --top go together');
    }
  }
  if (full === undefined || left === undefined || top === undefined) return undefined;
  return { fullWidth: full.width, fullHeight: full.height, left, top };
}
