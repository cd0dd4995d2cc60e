import { resolve } from 'node:path';
import { Command } from 'commander';
import { InputError, type Problem } from '../../errors.js';
import type { Quality } from '../../render/quality.js';
import type { Delivery, StillJob } from '../../render.js';
import type { Moment } from '../../scene/time.js';
import { shortNumber } from '../../scene/words.js';
import { frameAt, frameCount, frameTime } from '../../timeline/frames.js';
import { beginDrawing } from '../drawing.js';
import { helpAfter } from '../help.js';
import { shown, stillDeliveries } from '../names.js';
import {
  OptionReader,
  overwriteOption,
  qualityOption,
  quietOption,
  readerOption,
  secondsWithin,
  shapeOption,
} from '../options.js';
import { openScene } from '../scene.js';
import { note, print } from '../terminal.js';
import { type Round, WrongCommand, watching } from '../watching.js';

interface Words {
  readonly at: string;
  readonly out?: string;
  readonly shape?: readonly string[];
  readonly quality?: string;
  readonly depth?: string;
  readonly guides?: boolean;
  readonly ffmpeg?: string;
  readonly watch?: boolean;
  readonly overwrite?: boolean;
  readonly quiet?: boolean;
}

export const stillCommand = (signal: AbortSignal): Command =>
  new Command('still')
    .description('Render one frame of a scene: the one its clip shows at that time.')
    .argument('<scene>', 'scene file (YAML or JSON)')
    .requiredOption('--at <time>', 'seconds (1.5), a timecode (00:01.500) or a share (50%)')
    .option(
      '--out <file>',
      'where it goes: .png, .jpg, .webp or .tif; with several shapes, the shape is added to the name (default: SCENE-SHAPE-TIMEs.png in the current folder)',
    )
    .addOption(shapeOption())
    .addOption(qualityOption())
    .option('--depth <bits>', 'bits a channel: 8, or 16 for PNG and TIFF (default: 8)')
    .option(
      '--guides',
      "draw over it the lines of thirds, the shape's safe area and the scene's marks (clips never have them)",
    )
    .addOption(readerOption())
    .option(
      '--watch',
      'go on: draw it again whenever the scene, or a file that it names, is saved; Ctrl-C ends it',
    )
    .addOption(overwriteOption())
    .addOption(quietOption())
    .addHelpText(
      'after',
      helpAfter({
        examples: [
          'orbreel still intro.yaml --at 2.5 --shape square --out planet.jpg',
          'orbreel still marks.yaml --at 50% --guides',
          'orbreel still intro.yaml --at 2 --quality draft --watch',
        ],
        notes: [
          'Not for many frames: `orbreel render --out frames/` writes them all and reads',
          'the master once.',
        ],
      }),
    )
    .action((scene: string, words: Words) => still(scene, words, signal));

async function still(file: string, words: Words, signal: AbortSignal): Promise<void> {
  const asked = read(words);
  await beginDrawing();
  const { quiet = false, watch = false } = words;
  // Notes are said once, however often it is drawn.
  const said = new Set<string>();
  const onNote = (sentence: string) => {
    if (!quiet && !said.has(sentence)) note(`Note: ${sentence}`);
    said.add(sentence);
  };
  if (!watch) {
    const job = await jobOf(file, words, asked);
    const { renderStills } = await import('../../render.js');
    await renderStills({ ...job, signal, onNote });
    if (!quiet) for (const line of linesOf(job)) print(line);
    return;
  }
  const own = new Set<string>();
  const draw = async ({ studio, isFirst, files }: Round): Promise<string> => {
    const asWritten = await jobOf(file, words, asked, files.add);
    const job = { ...asWritten, deliveries: asWritten.deliveries.map(markOwn) };
    const problems = await unwritable(job, files.has);
    if (problems.length > 0) throw new (isFirst ? WrongCommand : InputError)(problems);
    const { renderStills } = await import('../../render.js');
    await renderStills({ ...job, signal, onNote }, studio);
    for (const delivery of job.deliveries) own.add(resolve(delivery.file));
    return linesOf(job).join(', ');
  };
  const markOwn = (delivery: Delivery): Delivery =>
    own.has(resolve(delivery.file)) ? { ...delivery, ours: true } : delivery;
  await watching({ scene: file, signal, quiet, draw });
}

interface Asked {
  readonly at: Moment | undefined;
  readonly quality: Quality;
  readonly depth: 8 | 16;
}

const depthOf = (text: string): 8 | 16 | undefined =>
  text === '8' ? 8 : text === '16' ? 16 : undefined;

/** @throws InputError with all that is wrong with the options */
function read({ shape = [], guides = false, ...words }: Words): Asked {
  const reader = new OptionReader();
  reader.shapes(shape);
  const quality = reader.quality(words.quality);
  const at = reader.moment('--at', words.at);
  const depth = reader.read('--depth', words.depth, 'takes 8 or 16', depthOf) ?? 8;
  if (guides && depth === 16)
    reader.problem('--guides', 'takes no --depth 16: guides are drawn in 8 bits');
  reader.done();
  return { at, quality, depth };
}

/** What the scene comes to now. @throws InputError */
async function jobOf(
  file: string,
  { shape = [], out, guides = false, overwrite = false, ffmpeg }: Words,
  { at: moment, quality, depth }: Asked,
  onFile?: (file: string) => void,
): Promise<StillJob> {
  const scene = await openScene(file, { shape, onFile });
  const reader = new OptionReader();
  const asked = secondsWithin(reader, '--at', moment, scene.duration) ?? 0;
  reader.done();
  // At the very end the clip still shows its last frame.
  const last = frameCount(scene.duration, scene.fps) - 1;
  const at = frameTime(Math.min(frameAt(asked, scene.fps), last), scene.fps);
  const deliveries = stillDeliveries(scene, out, shortNumber(asked));
  const where = ffmpeg === undefined ? {} : { ffmpeg };
  return { scene, deliveries, quality, depth, guides, overwrite, at, ...where };
}

/** What keeps a still that is drawn again and again from its place: others' files, and what it is made of. */
async function unwritable(
  { deliveries, depth = 8, overwrite }: StillJob,
  isSource: (file: string) => boolean,
): Promise<Problem[]> {
  const { stillProblems } = await import('../../encode/still.js');
  const problems = deliveries.map(({ file, output, ours = overwrite }) => {
    const message = 'is what the still is made of: choose another name with --out.';
    if (isSource(file)) return [{ place: file, path: '', message }];
    return stillProblems({ ...output, file, depth, overwrite: ours });
  });
  return (await Promise.all(problems)).flat();
}

const linesOf = ({ deliveries }: StillJob): string[] =>
  deliveries.map(({ file, output }) => `${shown(file)}  ${output.width}x${output.height}`);
