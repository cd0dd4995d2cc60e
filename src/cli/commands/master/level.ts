import { Command } from 'commander';
import { InputError } from '../../../errors.js';
import type { HorizonPoint, LevelOptions, LevelReport } from '../../../master/level.js';
import { helpAfter } from '../../help.js';
import { shown } from '../../names.js';
import { collect, jsonOption, OptionReader, overwriteOption, quietOption } from '../../options.js';
import { given, numberWithin, parsePair } from '../../values.js';
import { type MakingWords, making } from '../../working.js';
import { encodedQualityOption, pictureOut, readEncodedQuality } from './out-options.js';

interface Words extends MakingWords {
  readonly out: string;
  readonly auto?: boolean;
  readonly point?: readonly string[];
  readonly pixel?: readonly string[];
  readonly north?: string;
  readonly yaw?: string;
  readonly pitch?: string;
  readonly roll?: string;
  readonly quality?: string;
}

export const levelCommand = (signal: AbortSignal): Command =>
  new Command('level')
    .description('Turn a master so that it stands level, or faces where you say.')
    .summary('turn it so that it stands level')
    .argument('<file>', 'the master: a photo of the whole sphere; it stays as it is')
    .requiredOption('--out <file>', pictureOut)
    .option('--auto', 'find the horizon in the picture; when unsure, nothing is written')
    .option(
      '--point <lon,lat>',
      'a place on the true horizon, in degrees from the centre; repeat it, at least twice',
      collect,
    )
    .option('--pixel <x,y>', 'the same, in pixels from the upper left corner', collect)
    .option('--north <heading>', 'compass heading of the centre now; north comes to the centre')
    .option('--yaw <deg>', 'look so far to the right, -360 to 360')
    .option('--pitch <deg>', 'look so far up, -90 to 90')
    .option('--roll <deg>', 'roll so far clockwise, -180 to 180')
    .addOption(encodedQualityOption())
    .addOption(overwriteOption())
    .addOption(jsonOption())
    .addOption(quietOption())
    .addHelpText(
      'after',
      helpAfter({
        examples: [
          'orbreel master level valley.tif --auto --out level.tif',
          'orbreel master level valley.tif --point 0,2.5 --point 90,-4 --out level.tif',
          'orbreel master level valley.tif --north 137 --out north.tif',
        ],
        notes: [
          'Do it all in one go: each turn resamples the picture once. Not for a view in a',
          "clip: a scene's yaw, pitch and roll do that and leave the master as it is.",
          'Exit code 1 when --auto is unsure: give points on the horizon then.',
        ],
      }),
    )
    .action(
      making(signal, async (words: Words) => {
        const options = readOptions(words);
        const { makeLevel } = await import('../../../master/finish/upright.js');
        const { levellingInWords } = await import('../../../master/finish/describe.js');
        return {
          run: (job) => makeLevel({ ...options, ...job, output: words.out }),
          inWords: (report, file) =>
            report.status === 'turned'
              ? [`${shown(words.out)}  ${levellingInWords(report)}`, ...notesOf(report)]
              : [
                  `${file}: ${levellingInWords(report)}. Nothing was written.`,
                  ...(report.status === 'unsure' ? [] : notesOf(report)),
                ],
          failed: ({ status }) => status === 'unsure',
        };
      }),
    );

const notesOf = ({ notes }: LevelReport): string[] => notes.map((note) => `  note: ${note}`);

function readOptions(words: Words): Omit<LevelOptions, 'input' | 'output'> {
  const reader = new OptionReader();
  const angle = (option: string, text: string | undefined, most: number) =>
    reader.read(option, text, `takes degrees from ${-most} to ${most}`, numberWithin(-most, most));
  const options = given({
    auto: words.auto,
    yaw: angle('--yaw', words.yaw, 360),
    pitch: angle('--pitch', words.pitch, 90),
    roll: angle('--roll', words.roll, 180),
    north: reader.read(
      '--north',
      words.north,
      'takes a compass heading from 0 to below 360 degrees',
      numberWithin(0, 359.999999),
    ),
    quality: readEncodedQuality(reader, words.quality),
    overwrite: words.overwrite,
  });
  const horizon = readPoints(reader, words);
  checkWays(reader, words, horizon.length);
  reader.done();
  return { ...options, ...(horizon.length === 0 ? {} : { horizon }) };
}

function readPoints(reader: OptionReader, { point = [], pixel = [] }: Words): HorizonPoint[] {
  const points: HorizonPoint[] = [];
  const degrees = parsePair(numberWithin(-180, 180), numberWithin(-90, 90));
  const pixels = parsePair(numberWithin(0, 1e6), numberWithin(0, 1e6));
  for (const text of point) {
    const takes = 'takes longitude and latitude in degrees such as 90,-4';
    const [longitude, latitude] = reader.read('--point', text, takes, degrees) ?? [0, 0];
    points.push({ longitude, latitude });
  }
  for (const text of pixel) {
    const takes = 'takes column and row in pixels such as 4096,2051';
    const [x, y] = reader.read('--pixel', text, takes, pixels) ?? [0, 0];
    points.push({ x, y });
  }
  return points;
}

/** One way to level is wanted; north goes alone or with the horizon. */
function checkWays(reader: OptionReader, words: Words, points: number): void {
  const turned = [words.yaw, words.pitch, words.roll].some((word) => word !== undefined);
  const ways = [
    ...(words.auto ? ['--auto'] : []),
    ...(points > 0 ? ['--point'] : []),
    ...(turned ? ['--yaw, --pitch and --roll'] : []),
  ];
  if (ways.length === 0 && words.north === undefined) {
    throw new InputError(
      'How to turn it is missing: give --auto, --point twice or more, --yaw, --pitch or --roll, or --north.',
    );
  }
  if (ways.length > 1) reader.problem(ways[1] ?? '', `is another way than ${ways[0]}: choose one`);
  if (turned && words.north !== undefined) {
    reader.problem('--north', 'goes with --auto or --point, or alone: give the --yaw instead');
  }
  if (points === 1)
    reader.problem('--point', 'is needed at least twice, best a quarter turn apart');
}
